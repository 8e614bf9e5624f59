#include "node/commands/meeting_card.hpp"

#include "node/commands/meeting_advice.hpp"
#include "node/commands/meeting_ends.hpp"
#include "node/commands/path_pause.hpp"
#include "node/domain/rules/phonetics.hpp"

namespace ladderline::node {
namespace {

using protocol::MeetOutcome;
using protocol::MemberId;

constexpr std::size_t id_digits_shown = 8;
constexpr int wait_minutes = 5;  // on the first frequency, then on the second (common practice, no source)

// Guests are on the air under the call sign of the station at which they sit.
std::string call_of(const WayView& way, const PersonView& person) {
    if (person.id == way.owner.id) {
        if (ends_of(way, person).one.is_guest) return {};
        if (!way.call_sign.empty()) return way.call_sign;
    }
    return person.card ? person.card->call_sign : std::string();
}

std::string name_and_call(const WayView& way, const PersonView& person) {
    const std::string call = call_of(way, person);
    return person.name + (call.empty() ? "" : ", " + call);
}

std::string utc_words(WallTime t) {
    const std::string iso = to_iso_minute(t);
    return iso.substr(0, 10) + " " + iso.substr(11, 5) + " UTC";
}

void add_clock(MeetingCard& card, const std::string& label, const PersonView& person, WallTime start) {
    if (!person.card || person.card->zone.empty()) return;
    const auto zone = domain::Zone::find(person.card->zone);
    if (!zone) return;
    card.rows.push_back({label, domain::to_text(zone.value().clock_at(start))});
    if (zone.value().is_after_change(start)) {
        card.good_to_know.push_back("Clocks are changed in " + person.card->zone +
                                    " in the week before: look at the hour twice.");
    }
}

void add_when(MeetingCard& card, const MemberId& me, const PersonView* reader,
              const std::vector<const PersonView*>& ends, WallTime start) {
    if (reader != nullptr) add_clock(card, "When, on your clock", *reader, start);
    for (const PersonView* end : ends) {
        if (end != nullptr && end->id != me) add_clock(card, "On the clock of " + end->name, *end, start);
    }
    card.rows.push_back({"In UTC", utc_words(start)});
}

void add_where(MeetingCard& card, const protocol::MeetBody& m) {
    card.rows.push_back({"First frequency", m.first_frequency + " MHz, " + m.mode});
    const std::string minutes = std::to_string(wait_minutes);
    if (!m.second_frequency.empty()) {
        card.rows.push_back({"Nothing heard for " + minutes + " minutes", "go to " + m.second_frequency + " MHz"});
    }
    if (!m.fallback.empty()) card.rows.push_back({"If that does not work either", m.fallback});
}

void add_words(MeetingCard& card, const std::string& own, const std::string& far, const std::string& typed) {
    const std::string me = own.empty() ? "the call sign of the station that you sit at" : own;
    const std::string you = far.empty() ? "their call sign" : far;
    card.say_first.push_back("Listen for a minute. Then: \"Is this frequency in use? This is " + me + ".\"");
    card.say_first.push_back("Nobody answers: \"" + you + ", this is " + me + ". Over.\"");
    if (!own.empty()) card.say_first.push_back(own + " is spelled: " + domain::spelling_of(own));
    if (!far.empty()) card.say_first.push_back(far + " is spelled: " + domain::spelling_of(far));
    if (!typed.empty()) card.say_first.push_back("Agreed between you: " + typed);
    card.say_last.push_back("\"Thank you. " + you + ", this is " + me + ", clear.\"");
    const domain::CountryFact& every = own_rule_book().fact("identification-minutes");
    card.say_last.push_back("The call sign is said at the end, and at least every " + every.value + " minutes (" +
                            every.source.rule + ").");
}

void add_good_to_know(MeetingCard& card, const WayView& way, const MeetingEnds& ends) {
    const std::string guardian = guardian_words(way);
    if (!guardian.empty()) {
        card.good_to_know.push_back(guardian);
        card.good_to_know.emplace_back("First names only on the air: no surname, address, school or telephone number.");
    }
    for (std::string& sentence : domain::guest_words(own_rule_book(), ends.one, ends.other)) {
        card.good_to_know.push_back(std::move(sentence));
    }
    card.good_to_know.emplace_back("Everybody may listen. Nobody hears you: nobody's fault; set it again.");
}

}  // namespace

std::string_view outcome_word(const MeetingView& meeting, WallTime now) {
    if (!meeting.outcome) return meeting.meeting.start > now ? "to come" : "not said";
    switch (*meeting.outcome) {
        case MeetOutcome::made:
            return "made";
        case MeetOutcome::nobody_heard:
            return "nobody heard";
        case MeetOutcome::moved:
            break;
    }
    return "moved";
}

MeetingCard meeting_card(Context& context, const WayView& way, const MeetingView& meeting) {
    const MemberId me = context.me.id();
    const PersonView* helper = helper_of(way, meeting);
    const bool i_help = helper != nullptr && helper->id == me;
    const bool is_end = is_end_of(context, way, meeting);
    // The words are those of whoever reads; for one who is neither end, of the newcomer.
    const PersonView& self = i_help ? *helper : way.owner;
    const PersonView* other = i_help ? &way.owner : helper;
    MeetingCard out;
    out.title = std::string("Contact on the air") + (is_end ? " " : ": ") + ends_words(context, way, meeting);
    if (is_called_off(way, meeting, context.today())) {
        out.rows.push_back({"Not for now", pause_words(way, context.today())});
    }
    if (!is_end) out.rows.push_back({"On the air", name_and_call(way, way.owner)});
    if (other != nullptr) out.rows.push_back({"With", name_and_call(way, *other)});
    add_when(out, me, person_on(way, me), {&self, other}, meeting.meeting.start);
    add_where(out, meeting.meeting);
    const std::string guardians = way.owner.is_minor ? guardian_names(way) : std::string();
    if (!guardians.empty()) out.rows.push_back({"There or listening", guardians + ", guardian"});
    add_words(out, call_of(way, self), other != nullptr ? call_of(way, *other) : std::string(), meeting.meeting.words);
    add_good_to_know(out, way, ends_of(way, helper != nullptr ? *helper : way.owner));
    if (!meeting.outcome) {
        const std::string id = to_hex(meeting.id.view()).substr(0, id_digits_shown);
        const std::string whose = me == way.owner.id ? "" : "\"" + way.owner.name + "\" ";
        out.good_to_know.push_back(
            "What became of it:  [ ] made   [ ] nobody heard   [ ] moved. Typed back in: "
            "ladderline meet " +
            whose + "--made " + id + ", or --nobody-heard or --moved.");
    }
    return out;
}

std::vector<std::string> card_lines(const MeetingCard& card) {
    std::vector<std::string> out{card.title, ""};
    for (const MeetingCard::Row& row : card.rows) out.push_back(row.label + ": " + row.text);
    const auto part = [&](const char* title, const std::vector<std::string>& lines) {
        out.insert(out.end(), {"", title});
        for (const std::string& line : lines) out.push_back("- " + line);
    };
    part("What to say first", card.say_first);
    part("What to say last", card.say_last);
    part("Good to know", card.good_to_know);
    return out;
}

CalendarEntry calendar_entry(const WayView& way, const MeetingView& meeting, WallTime now) {
    const protocol::MeetBody& m = meeting.meeting;
    const Day today = utc_day(now);
    const bool is_off = is_called_off(way, meeting, today);
    std::string description = is_off ? "Not for now: " + pause_words(way, today) + "\n" : "";
    description += m.first_frequency + " MHz " + m.mode;
    if (!m.second_frequency.empty()) description += ", then " + m.second_frequency + " MHz";
    if (!m.fallback.empty()) description += "\nIf nothing is heard: " + m.fallback;
    if (!m.words.empty()) description += "\n" + m.words;
    if (!is_off) description += "\n" + std::string(outcome_word(meeting, now));
    return {to_hex(meeting.id.view()),
            m.start,
            meet_minutes,
            "Contact on the air: " + both_ends(way, meeting),
            description,
            is_off || meeting.outcome == MeetOutcome::moved};
}

std::string meetings_calendar(const WayView& way, const std::vector<MeetingView>& meetings, WallTime now) {
    std::vector<CalendarEntry> entries;
    for (const MeetingView& meeting : meetings) entries.push_back(calendar_entry(way, meeting, now));
    return calendar(entries, now);
}

}  // namespace ladderline::node
