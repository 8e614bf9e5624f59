#include "node/commands/milestones.hpp"

#include <algorithm>
#include <array>

#include "node/commands/confirmed.hpp"
#include "node/commands/contact_entry.hpp"
#include "node/commands/items.hpp"
#include "node/domain/radio/adif.hpp"
#include "node/domain/radio/path.hpp"

namespace ladderline::node {
namespace {

using domain::MarkKind;

// Numbers of the shipped edition and of those made from it.
struct Meaning {
    MarkKind kind;
    domain::ItemId item;  // stage 0, number 0: none
    const char* words;
    const char* only_you;
};
constexpr std::array<Meaning, 14> meanings{{
    {MarkKind::first_as_guest, {0, 11}, "First contact as a guest", "that a licensed operator stayed in control"},
    {MarkKind::first, {0, 0}, "First contact under your own call sign", ""},
    {MarkKind::with_mentor, {9, 6}, "First contact with your mentor", ""},
    {MarkKind::second_within_week, {9, 11}, "A second contact within seven days", ""},
    {MarkKind::tenth, domain::known_item::ten_contacts, "Ten contacts in all", ""},
    {MarkKind::first_direct, {0, 0}, "First direct contact, without a repeater", ""},
    {MarkKind::direct_with_mentor, {12, 2}, "Direct contact with your mentor", "that it was from walking distance"},
    {MarkKind::direct_far, {12, 3}, "Direct contact beyond five kilometres", ""},
    {MarkKind::guest_on_shortwave, {13, 5}, "First contact on shortwave as a guest", ""},
    {MarkKind::first_data, {14, 6}, "First data contact", ""},
    {MarkKind::other_country, {15, 3}, "First contact with another country", ""},
    {MarkKind::other_continent, {15, 4}, "First contact with another continent", ""},
    {MarkKind::far_agreed, {15, 8}, "A far contact that the other log agrees with", ""},
    {MarkKind::ten_portable, {16, 9}, "Ten contacts away from home", "that they were made on battery"},
}};

const Meaning& meaning_of(MarkKind kind) {
    return *std::find_if(meanings.begin(), meanings.end(), [&](const Meaning& m) { return m.kind == kind; });
}

// The least distance that both locators allow.
std::optional<double> least_km(const std::string& own, const std::string& theirs) {
    if (own.empty() || theirs.empty()) return std::nullopt;
    const auto a = domain::Locator::parse(own);
    const auto b = domain::Locator::parse(theirs);
    if (!a || !b) return std::nullopt;
    return domain::apart(a.value(), b.value()).least_km();
}

}  // namespace

std::vector<Milestone> milestones(const Context& context, const WayView& way) {
    const auto others = other_logs(way);
    const std::string own_locator = way.owner.card ? way.owner.card->locator : "";
    std::vector<const ContactView*> log;
    std::vector<domain::MarkRow> rows;
    for (auto view = way.contacts.rbegin(); view != way.contacts.rend(); ++view) {
        const protocol::ContactBody& c = view->contact;
        domain::MarkRow row;
        row.start = c.start;
        row.worked = c.worked;
        row.station = c.station;
        row.as_guest = !c.operated_by.empty();
        if (const auto hz = domain::parse_megahertz(c.frequency)) row.frequency_hz = hz.value();
        row.band = c.band;
        row.mode = domain::normal_mode(c.mode);
        row.remark = c.comment;
        row.agreed = !confirmed_by(others, view->id).empty();
        row.distance_km = least_km(own_locator, c.locator);
        rows.push_back(std::move(row));
        log.push_back(&*view);
    }
    std::vector<std::string> mentors;
    for (const PersonView& p : way.people) {
        if (p.role == protocol::MemberRole::mentor && p.card && !p.card->call_sign.empty()) {
            mentors.push_back(p.card->call_sign);
        }
    }
    std::vector<Milestone> out;
    for (const domain::LogMark& mark : domain::log_marks(rows, mentors)) {
        const Meaning& meaning = meaning_of(mark.kind);
        Milestone one;
        one.kind = mark.kind;
        one.words = meaning.words;
        one.known_by = mark.known_by;
        one.only_you = meaning.only_you;
        one.contact = *log[mark.row];
        const bool has_item = meaning.item.stage != 0 || meaning.item.number != 0;
        if (has_item) one.item = context.edition.find(meaning.item);
        if (one.item != nullptr) {
            one.phase = domain::state_of(way.states, meaning.item).phase;
            one.can_be_ticked = one.phase == domain::Phase::open;
        }
        out.push_back(std::move(one));
    }
    return out;
}

Result<Done> tick_milestone(Context& context, const std::string& item) {
    TRY(const WayView view, way(context, ""));
    for (const Milestone& one : milestones(context, view)) {
        if (one.item == nullptr || domain::to_text(one.item->id) != item) continue;
        TickRequest request;
        request.item = item;
        request.day = utc_day(one.contact.contact.start);
        request.evidence = contact_words(one.contact.contact);
        request.guest_of = one.contact.contact.operated_by;
        return tick(context, request);
    }
    return Error{Fault::not_found, "Your log does not show " + item + "; tick it on its own page if you know better."};
}

}  // namespace ladderline::node
