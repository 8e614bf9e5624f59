#include "node/commands/way.hpp"

#include <algorithm>

#include "node/commands/club_shares.hpp"
#include "node/commands/day_in_words.hpp"
#include "node/commands/own_calls.hpp"
#include "node/commands/own_day.hpp"
#include "node/commands/path_pause.hpp"
#include "node/commands/study_pools.hpp"
#include "node/domain/ladder/papers.hpp"
#include "node/domain/licence/term.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::StatementKind;

// Items whose ticks end a soft clock, and that no other rule names.
constexpr domain::ItemId official_copy{4, 7};
constexpr domain::ItemId new_privilege{18, 8};

void fill_group(WayView& way) {
    way.group.newcomer = to_domain(way.owner.id);
    way.group.under_18 = way.owner.is_minor;
    for (const PersonView& p : way.people) {
        if (p.id != way.owner.id) way.group.seats.push_back({to_domain(p.id), to_domain(p.role)});
    }
    way.group.guardian_agreed_on = ticked_on(way.states, domain::known_item::guardian_agrees);
}

// The consent is the guardian's own word beside the tick: it ends on a day, and it can be taken back.
Result<void> load_consent(Context& context, WayView& way) {
    return context.db.query(
        "SELECT consent FROM circle WHERE circle = ?1 AND consent IS NOT NULL",
        [&](const store::sqlite::Row& row) {
            if (row.integer(0) == 0) {
                way.group.guardian_agreed_on.reset();
            } else {
                way.group.consent_until = Day{static_cast<std::int32_t>(row.integer(0))};
            }
        },
        way.circle.id);
}

// 00.05 stays ticked when the consent behind it is taken back or runs out. A path as it is when nobody has agreed yet
// has that item before all others, and so has this one.
void ask_for_consent(WayView& way, Day today) {
    const domain::ItemId item = domain::known_item::guardian_agrees;
    std::string why = consent_over(way, today);
    if (why.empty() || way.facts.resting || domain::state_of(way.states, item).set_aside) return;
    way.progress.next = {item, domain::Reason::minor_first, std::move(why)};
}

// The items know neither that the consent is over nor who sits on the path.
void look_at_second_adult(WayView& way, Day today) {
    auto& waiting = way.progress.waiting;
    const auto is_it = [](const domain::Waiting& w) { return w.what == domain::Awaited::second_adult; };
    if (!consent_over(way, today).empty()) {
        std::erase_if(waiting, is_it);
        return;
    }
    const auto found = std::find_if(waiting.begin(), waiting.end(), is_it);
    const auto seated = std::find_if(way.people.begin(), way.people.end(),
                                     [](const PersonView& p) { return p.role == MemberRole::second_adult; });
    if (found == waiting.end() || seated == way.people.end()) return;
    found->sentence = "The guardian agreed, and " + seated->name + " is on the path as second adult; they tick 00.06.";
}

// What a club may hold of the way is its owner's own business, so its end is told to nobody else.
Result<void> load_shares(Context& context, WayView& way) {
    if (way.circle.founder != context.me.id()) return ok();
    TRY(auto ending, ending_shares(context));
    std::move(ending.begin(), ending.end(), std::back_inserter(way.due));
    std::stable_sort(way.due.begin(), way.due.end(), [](const auto& a, const auto& b) { return a.day < b.day; });
    return ok();
}

// A contact under the own call sign before the grant does not count, whichever node wrote it down.
bool counts(const WayView& way, const OwnCalls& calls, const ContactView& view) {
    if (view.by != way.owner.id) return true;
    const ContactBody& c = view.contact;
    const domain::OnAirAs as = c.operated_by.empty() ? domain::OnAirAs{domain::UnderOwnCall{c.station}}
                                                     : domain::OnAirAs{domain::AsGuest{c.operated_by, c.station}};
    return domain::grant_visible(as, calls.grant_of(c.station), utc_day(c.start)).has_value();
}

bool is_own_call(const WayView& way, const std::string& call) {
    const auto other = domain::split_call(call);
    const auto is_it = [&](const std::string& own_text) {
        const auto own = domain::split_call(own_text);
        return own && other && domain::same_call(own.value(), other.value());
    };
    if (is_it(way.call_sign)) return true;
    // An earlier one, as the log shows it: somebody's side of a contact names it, or the owner sent under it.
    return std::any_of(way.other_sides.begin(), way.other_sides.end(),
                       [&](const ContactView& v) { return is_it(v.contact.worked); }) ||
           std::any_of(way.contacts.begin(), way.contacts.end(), [&](const ContactView& v) {
               return v.by == way.owner.id && v.contact.operated_by.empty() && is_it(v.contact.station);
           });
}

Result<void> load_contacts(Context& context, const OwnCalls& calls, WayView& way) {
    TRY(auto all, contacts(context.db, way.circle.id));
    for (ContactView& view : all) {
        if (view.struck) {
            way.struck.push_back(std::move(view));
        } else if (view.by != way.owner.id && calls.has(view.contact.worked)) {
            way.other_sides.push_back(std::move(view));
        } else if (counts(way, calls, view)) {
            way.contacts.push_back(std::move(view));
        }
    }
    TRY(way.meetings, meetings(context.db, way.circle.id));
    return ok();
}

Result<void> load_question(Context& context, WayView& way) {
    TRY(const auto questions, shown(context.db, way.circle.id, kind::ask));
    for (const ShownView& question : questions) {
        if (question.by != way.owner.id) continue;
        if (const auto ask = read_payload<AskBody>(question.payload); ask && !ask->topic.empty()) {
            way.help_topic = ask->topic;
            way.help_since = ask->day;
        }
    }
    return ok();
}

// A notice ticked late is as old as its evidence says.
std::optional<Day> fee_notice(const domain::States& states) {
    const auto day = ticked_on(states, domain::known_item::fee_notice_seen);
    const auto& tick = domain::state_of(states, domain::known_item::fee_notice_seen).tick;
    return day && tick ? notice_day(*day, tick->text) : day;
}

// The first tick begins the licence. A later one, of another call sign, begins none while the term runs.
std::optional<Day> grant_day(const OwnCalls& calls, const domain::States& states) {
    domain::KnownDates dates;
    for (const Day day : calls.days()) domain::take_licence(dates, day, {}, domain::shipped_clocks());
    return dates.grant ? dates.grant : ticked_on(states, domain::known_item::grant_visible);
}

Result<void> load_dates(Context& context, const OwnCalls& calls, WayView& way) {
    domain::KnownDates& dates = way.dates;
    dates.exam_passed = ticked_on(way.states, domain::known_item::exam_passed);
    dates.fee_notice = fee_notice(way.states);
    dates.fee_paid = ticked_on(way.states, domain::known_item::fee_paid);
    dates.grant = grant_day(calls, way.states);
    dates.official_copy_saved = ticked_on(way.states, official_copy);
    dates.new_privilege_used = ticked_on(way.states, new_privilege);
    std::vector<Day> days;
    for (const ContactView& view : way.contacts) {
        if (view.by == way.owner.id) days.push_back(utc_day(view.contact.start));
    }
    std::sort(days.begin(), days.end());
    if (!days.empty()) {
        dates.first_contact = days.front();
        dates.last_contact = days.back();
    }
    if (days.size() > 1) dates.second_contact = days[1];
    TRY(dates.pairing_start, mentored_since(context.db, way.circle.id));
    TRY(dates.last_mentor_touch, last_touch(context.db, way.circle.id));
    dates.resting = way.facts.resting;
    if (way.owner.is_minor) dates.consent_until = way.group.consent_until;
    return ok();
}

// What was said of exams and of the licence stands beside the ticks, and is known before the next step is looked for.
Result<void> load_exam(Context& context, WayView& way) {
    TRY(const SaidDates said, said_dates(context, way.circle.id, way.owner.id));
    way.exam.dates = way.dates;
    merge_said(way.exam, said, way.states, to_domain(way.owner.id));
    if (way.owner.id == context.me.id()) {
        way.exam.dates.pool_last_day = pool_last_day(context, way.exam);
    }
    way.dates = way.exam.dates;
    return ok();
}

bool is_mentor_on(const WayView& way, const MemberId& who) {
    return std::any_of(way.people.begin(), way.people.end(),
                       [&](const PersonView& p) { return p.id == who && p.role == MemberRole::mentor; });
}

void fill_facts(WayView& way) {
    way.facts.owner = to_domain(way.owner.id);
    way.facts.under_18 = way.owner.is_minor;
    way.facts.exam_passed = way.dates.exam_passed;
    way.facts.fee_notice = way.dates.fee_notice;
    way.facts.fee_paid = way.dates.fee_paid;
    const bool has_mentor = std::any_of(way.people.begin(), way.people.end(),
                                        [](const PersonView& p) { return p.role == MemberRole::mentor; });
    (has_mentor ? way.facts.asked_mentor : way.facts.asked_for_mentor) = way.help_since;
}

domain::Papers papers_on(const domain::KnownDates& dates, Day today) {
    const domain::Clocks& clocks = domain::shipped_clocks();
    const bool is_pending = domain::first_licence_pending(dates, clocks);
    domain::Papers out;
    out.today = today;
    if (!is_pending && !domain::licence_lapsed(dates, clocks, today)) out.grant = dates.grant;
    out.fee_missed = dates.fee_notice && !dates.fee_paid && today > *dates.fee_notice + clocks.fee_last_days;
    out.certificate_over = is_pending && today > *dates.exam_passed + clocks.certificate_doubtful_days;
    return out;
}

// Those of others on which the owner of this store is, or is not, among the people. A path whose newcomer has left is
// nobody's way.
Result<std::vector<WayView>> paths_held(Context& context, bool is_present) {
    TRY(const auto all, circles(context.db));
    std::vector<WayView> out;
    for (const CircleView& circle : all) {
        if (circle.kind != CircleKind::path || circle.founder == context.me.id()) continue;
        auto view = way_of(context, circle);
        if (!view && view.error().fault() == Fault::not_found) continue;
        if (!view) return view.error();
        const auto& there = view.value().people;
        const bool among =
            std::any_of(there.begin(), there.end(), [&](const PersonView& p) { return p.id == context.me.id(); });
        if (among == is_present) out.push_back(std::move(view).value());
    }
    std::sort(out.begin(), out.end(), [](const WayView& a, const WayView& b) { return a.owner.name < b.owner.name; });
    return out;
}

}  // namespace

bool is_other_side(const WayView& way, const protocol::MemberId& by, const std::string& worked) {
    return by != way.owner.id && !way.call_sign.empty() && is_own_call(way, worked);
}

bool stands(const domain::Edition& edition, const WayView& way, const domain::Statement& s) {
    const domain::Item* item = edition.find(s.item);
    if (item == nullptr) return false;
    const bool own = s.author == to_domain(way.owner.id);
    const domain::Role role = own ? domain::Role::newcomer : s.role;
    switch (s.kind) {
        case StatementKind::tick:
        case StatementKind::untick:
            return own || domain::may_tick_roles(edition, *item).has(role);
        case StatementKind::sign: {
            if (own || !domain::may_sign_roles(edition, *item, way.owner.is_minor).has(role)) return false;
            // `statements` gives none above the level of its author, who may be gone by now.
            return domain::signer_holds(*item, to_domain(way.owner.id), s.author, s.level, s.level).has_value();
        }
        case StatementKind::withdraw:
            return true;
        case StatementKind::assign:
            return own || role == domain::Role::mentor;
        case StatementKind::skip:
        case StatementKind::rest:
            return own;
        case StatementKind::reopen:
            return own || domain::may_sign_roles(edition, *item, way.owner.is_minor).has(role);
    }
    return false;
}

Result<WayView> way_of(Context& context, const CircleView& circle) {
    WayView way;
    way.circle = circle;
    TRY(way.people, people(context.db, circle.id));
    const auto owner =
        std::find_if(way.people.begin(), way.people.end(), [&](const PersonView& p) { return p.id == circle.founder; });
    if (owner == way.people.end()) return Error{Fault::not_found, "The newcomer has left this path."};
    way.owner = *owner;
    TRY(auto said, statements(context.db, circle.id));
    std::erase_if(said, [&](const domain::Statement& s) { return !stands(context.edition, way, s); });
    for (const domain::Statement& s : said) way.as_of = std::max(way.as_of.value_or(s.said), s.said);
    way.states = domain::derive_all(said);
    fill_group(way);
    TRY(load_consent(context, way));
    const domain::ItemState& grant = domain::state_of(way.states, domain::known_item::grant_visible);
    if (grant.tick) way.call_sign = grant.tick->text;
    const OwnCalls calls(said);
    TRY(load_contacts(context, calls, way));
    TRY(load_question(context, way));
    way.facts.resting = way.owner.card && way.owner.card->resting;
    TRY(load_dates(context, calls, way));
    TRY(load_exam(context, way));
    fill_facts(way);
    way.progress = domain::progress(context.edition, way.states, way.facts, papers_on(way.dates, own_day(context)));
    ask_for_consent(way, context.today());
    look_at_second_adult(way, context.today());
    way.due = domain::due(way.dates, domain::shipped_clocks(), own_day(context));
    if (!is_mentor_on(way, context.me.id())) {
        std::erase_if(way.due, [](const domain::DueLine& line) { return domain::is_for_mentor(line.what); });
    }
    TRY(load_shares(context, way));
    return way;
}

Result<WayView> way(Context& context, std::string_view who) {
    TRY(const CircleView circle, path_of(context, who));
    return way_of(context, circle);
}

Result<std::vector<WayView>> ways_of_others(Context& context) {
    return paths_held(context, true);
}

Result<std::vector<WayView>> ways_gone_from(Context& context) {
    return paths_held(context, false);
}

}  // namespace ladderline::node
