// Questions of the review about what stays on paths. Whoever shares the path sees it there anyway; here it stands
// together.

#include <algorithm>
#include <array>
#include <cctype>
#include <map>

#include "node/commands/review_questions.hpp"
#include "protocol/base/letters.hpp"

namespace ladderline::node {
namespace {

using domain::Due;
using domain::ItemId;
using domain::ItemState;
namespace known = domain::known_item;

constexpr ItemId sat_exam{3, 7};
constexpr ItemId not_this_time{3, 10};
constexpr ItemId person_who_calls{3, 12};
constexpr ItemId radio_got{5, 10};
constexpr ItemId better_antenna{5, 11};
constexpr ItemId borrowed_back{5, 18};
constexpr ItemId first_check_in{11, 3};
constexpr ItemId first_outing{16, 8};
constexpr ItemId event_shadowed{17, 6};
constexpr ItemId mentor_offer{19, 3};
constexpr std::uint8_t safety_stage = 7;
constexpr std::int32_t fee_near_days = 3;
constexpr std::int32_t exam_near_days = 14;
constexpr std::int32_t mentor_after_days = 365;
constexpr int mentor_skills_min = 6;

const ItemState& state(const WayView& way, ItemId item) {
    return domain::state_of(way.states, item);
}
bool reached(const WayView& way, ItemId item) {
    return state(way, item).reached();
}
// Done, or set aside by its owner, who needs no reason.
bool is_settled(const WayView& way, ItemId item) {
    return reached(way, item) || state(way, item).set_aside;
}

void add(Answers& out, const WayView& way, std::string detail) {
    out.push_back({way.owner.name, std::move(detail)});
}

Answers fee_near(Context&, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        for (const domain::DueLine& line : way.due) {
            if (line.what == Due::fee_last_day && line.days_left <= fee_near_days) {
                add(out, way, "last day " + to_iso(line.day));
            }
        }
    }
    return out;
}

Answers passed_without_call_sign(Context& context, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        if (!way.dates.exam_passed || way.dates.grant || way.dates.licensed_at_exam) continue;
        const std::int32_t waited = days_between(*way.dates.exam_passed, context.today());
        if (waited < domain::shipped_clocks().grant_expected_days) continue;
        add(out, way, "passed on " + to_iso(*way.dates.exam_passed) + ", " + days_words(waited) + " ago");
    }
    return out;
}

Answers nobody_to_call(Context&, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        if ((reached(way, sat_exam) || way.dates.exam_passed) && !is_settled(way, person_who_calls)) add(out, way, "");
    }
    return out;
}

Answers radio_without_antenna(Context&, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        const bool has_antenna = is_settled(way, better_antenna) || reached(way, known::antenna_up);
        if (reached(way, radio_got) && !has_antenna) add(out, way, "by their own word");
    }
    return out;
}

Answers waits_for_look_over(Context&, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        const ItemState& looked_over = state(way, known::station_looked_over);
        if (looked_over.signature || looked_over.set_aside) continue;
        if (looked_over.tick) {
            add(out, way, "ticked on " + to_iso(looked_over.tick->day) + ", not signed yet");
        } else if (way.progress.current_stage == safety_stage) {
            add(out, way, "at stage 07");
        }
    }
    return out;
}

Answers safety_lapsed(Context& context, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        const auto lapsed = domain::rechecks_due(context.edition, way.states, context.today());
        for (const domain::Item& item : context.edition.items) {
            if (!item.safety) continue;
            const bool reopened = state(way, item.id).phase == domain::Phase::reopened;
            const bool is_lapsed = std::find(lapsed.begin(), lapsed.end(), item.id) != lapsed.end();
            if (!reopened && !is_lapsed) continue;
            add(out, way,
                domain::to_text(item.id) + " " + item.text + (reopened ? ": re-opened" : ": to be looked at"));
        }
    }
    return out;
}

Answers exam_near(Context& context, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        if (!way.dates.exam_booked) continue;
        const std::int32_t left = days_between(context.today(), *way.dates.exam_booked);
        if (left >= 0 && left <= exam_near_days) add(out, way, "on " + to_iso(*way.dates.exam_booked));
    }
    return out;
}

// Whoever was not through by their own tick, and has no further session booked.
Answers no_new_date(Context& context, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        const bool booked = way.dates.exam_booked && *way.dates.exam_booked >= context.today();
        if (reached(way, not_this_time) && !booked && !way.dates.exam_passed && !way.facts.resting) add(out, way, "");
    }
    return out;
}

Answers ready_for_more(Context&, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        std::string what;
        const auto offer = [&](bool ready, ItemId item, const char* words) {
            if (ready && !is_settled(way, item)) what += (what.empty() ? "" : ", ") + std::string(words);
        };
        offer(reached(way, known::first_contact), first_check_in, "a first net");
        offer(reached(way, known::ten_contacts), first_outing, "a first outing");
        offer(reached(way, first_check_in), event_shadowed, "an event, beside somebody");
        if (!what.empty() && !way.facts.resting) add(out, way, what);
    }
    return out;
}

// Arranged, not made, and nothing arranged after it.
Answers contacts_that_failed(Context& context, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        const MeetingView* last = nullptr;
        bool again = false;
        for (const MeetingView& meeting : way.meetings) {
            const bool failed = meeting.outcome && *meeting.outcome != protocol::MeetOutcome::made;
            if (failed) last = &meeting;
            again = !failed && (again || meeting.meeting.start >= context.now() || meeting.outcome);
        }
        if (last == nullptr) continue;
        add(out, way, to_iso_minute(last->meeting.start) + (again ? ", set again" : ", not set again"));
    }
    return out;
}

// One of its words, however it is written, says that the thing is somebody else's; "excellent" does not.
bool says_loan(std::string_view text) {
    constexpr std::array<std::string_view, 5> words{"borrow", "borrowed", "loan", "lent", "loaned"};
    const auto is_letter = [](char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || (c & 0x80) != 0; };
    const std::string low = lower(text);
    for (auto at = low.begin(); at != low.end();) {
        const auto begin = std::find_if(at, low.end(), is_letter);
        at = std::find_if_not(begin, low.end(), is_letter);
        if (std::find(words.begin(), words.end(), std::string_view(begin, at)) != words.end()) return true;
    }
    return false;
}

Answers loans_out(Context&, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        const ItemState& got = state(way, radio_got);
        const std::string text = got.tick ? got.tick->text : std::string();
        if (says_loan(text) && !is_settled(way, borrowed_back)) add(out, way, text);
    }
    return out;
}

Answers could_mentor(Context& context, const std::vector<WayView>& ways) {
    Answers out;
    for (const WayView& way : ways) {
        if (!way.dates.first_contact || way.owner.is_minor) continue;
        if (days_between(*way.dates.first_contact, context.today()) < mentor_after_days) continue;
        int skills = 0;
        for (const domain::Item& item : context.edition.items) {
            const bool alone = state(way, item.id).signed_level() >= domain::Level::alone;
            skills += item.kind == domain::ItemKind::skill && alone ? 1 : 0;
        }
        if (skills < mentor_skills_min) continue;
        add(out, way, std::to_string(skills) + " skills alone" + (reached(way, mentor_offer) ? ", willing" : ""));
    }
    return out;
}

Answers nobody(Context&, const std::vector<WayView>&) {
    return {};
}

// "19 to 20 UTC": the hour of the day.
std::string hour_words(std::int64_t hour) {
    constexpr std::int64_t hours = 24;
    const auto digits = [](std::int64_t n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    return digits(hour) + " to " + digits((hour + 1) % hours) + " UTC";
}

// At which hour and on which frequency nobody was heard, on the fallback too; whose contact it was is not said.
std::vector<std::string> silent_hours(const std::vector<WayView>& ways) {
    constexpr std::int64_t hour_ms = 3'600'000;
    std::map<std::pair<std::int64_t, std::string>, int> times;
    for (const WayView& way : ways) {
        for (const MeetingView& m : way.meetings) {
            if (m.outcome != protocol::MeetOutcome::nobody_heard) continue;
            const WallTime start = m.meeting.start;
            const std::int64_t hour = (start.ms - start_of(utc_day(start)).ms) / hour_ms;
            for (const std::string& mhz : {m.meeting.first_frequency, m.meeting.second_frequency}) {
                if (!mhz.empty()) ++times[{hour, mhz + " MHz " + m.meeting.mode}];
            }
        }
    }
    std::vector<std::string> out;
    for (const auto& [where, n] : times) {
        out.push_back(hour_words(where.first) + ", " + where.second + ": nobody heard " +
                      (n == 1 ? "once." : std::to_string(n) + " times."));
    }
    return out;
}

constexpr PathQuestion questions[] = {
    {3, "The regulator's fee falls due within three days", fee_near,
     "A fee runs from the day of its notice; who did not write that day down is missing."},
    {4, "Passed, and no call sign after ten days", passed_without_call_sign,
     "The public register knows it first: look there."},
    {5, "Left an exam session without the name of somebody who calls", nobody_to_call,
     "A name that was given and not ticked does not show."},
    {11, "Has a radio and no antenna, by their own word", radio_without_antenna, "What was not ticked is not known."},
    {12, "Waits for the safety look-over of the station", waits_for_look_over,
     "Who has a station and has not come to that stage may be missing."},
    {13, "Safety items that lapsed or were re-opened", safety_lapsed,
     "A change of power, antenna or place shows only once somebody writes it down."},
    {20, "Sits an exam within two weeks", exam_near, "Only sessions that were written down are known."},
    {22, "Said 'not this time' and has no new date; for mentors, no name leaves their path", no_new_date,
     "Silence needs no reason, and nobody is pressed."},
    {23, "Ready for a first net, outing or event", ready_for_more, "Whether they want to: ask them."},
    {25, "Arranged contacts that failed, and whether they were set again", contacts_that_failed,
     "An arrangement by telephone does not show."},
    {26, "Hours and channels that newcomers found silent", nobody,
     "Only arranged contacts of which somebody said that nobody was heard; listening without one is not kept.",
     silent_hours, "No arranged contact of these paths ended with 'nobody heard'."},
    {27, "Borrowed equipment that is out", loans_out,
     "Only what the newcomer wrote beside the first radio, with the word 'borrowed', 'loan' or 'lent'; the club's own "
     "list of its things is kept elsewhere."},
    {33, "Could become a mentor: six skills alone, a year on the air", could_mentor,
     "Willing is whoever ticked what they can help with; ask, and take no for an answer."},
};

}  // namespace

std::span<const PathQuestion> path_questions() {
    return questions;
}

}  // namespace ladderline::node
