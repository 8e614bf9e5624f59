// What was assumed, and how far the byte model may be believed.

#include "tests/scale/report_parts.hpp"

namespace ladderline::scale {
namespace {

const char* name_of(Place place) {
    return place == Place::club ? "club" : place == Place::path ? "path" : "desk";
}
const char* name_of(Part part) {
    return part == Part::officer ? "officer" : part == Part::mentor ? "mentor" : "newcomer";
}
const char* name_of(VisitKind kind) {
    switch (kind) {
        case VisitKind::equal:
            return "equal roots";
        case VisitKind::cursor:
            return "different, with a cursor";
        case VisitKind::tree:
            return "different, down the tree";
        case VisitKind::cut:
            return "cut before the first event";
    }
    return "";
}

void say_people(Page& page, const Assumptions& a) {
    page.table({"of people and machines", "assumed"});
    page.row(
        {"club", share_words(a.officers) + " officers, " + share_words(a.mentors) + " mentors, the rest newcomers"});
    page.row({"circles", "one of the club; a path for each newcomer with one mentor, for " + share_words(a.triples) +
                             " of them with two; a desk of two devices for who has two (other desks need no sync)"});
    page.row({"second device", share_words(a.second_device) + " of members; " + share_words(a.second_device_share) +
                                   " of their owner's words are written there"});
    for (const HabitLine& habit : habits) {
        page.row({"first device on: " + std::string(habit.words), share_words(habit.share) + " of members"});
    }
    page.row(
        {"away", std::to_string(a.away_days) + " days in a row once a year, all but the devices that are always on"});
    page.row({"coming and going",
              share_words(a.going_month) +
                  " of the club in 30 days each way, newcomers; each going "
                  "brings a new key of the club's circle; the first officer is always on, lets people in "
                  "and took the places at the couriers"});
    page.row({"couriers", "two for every circle; up " + number_words(a.up_days_mean) + " days and then down " +
                              time_words(a.outage_s_mean) + ", both exponential with that mean"});
    page.row({"lines", number_words(a.failed_calls / 100.0) + " of 100 calls fail, " +
                           number_words(a.cut_calls / 100.0) +
                           " of 100 that have something to bring are cut before the first event arrives"});
    page.row({"visits",
              "as the node plans them: at once when switched on, 2 s after news, 5 to 6 min after the last, and "
              "after failures 5 s, doubled up to 1 h"});
    page.row({"not simulated",
              "direct links and bundles, which only bring news earlier and bytes away from couriers; "
              "clocks, liars and restores, which have suites of their own"});
    page.end();
}

}  // namespace

void say_assumptions(Page& page, const Outcome& outcome) {
    page.head("Assumptions");
    page.say(
        "All of them are guesses (common practice, no source); the program takes others as easily. Clubs share "
        "nothing: no circle, no courier, no key.");
    say_people(page, Assumptions{});
    page.table({"circle", "who", "says", "a week", "plain body, bytes"});
    for (const Saying& saying : sayings()) {
        page.row({name_of(saying.place), name_of(saying.part), std::string(saying.what), number_words(saying.a_week),
                  std::to_string(saying.plain_bytes)});
    }
    page.end();
    const Figures& usual = usual_club(outcome);
    const double member_weeks = static_cast<double>(usual.people_days) / 7;
    page.say(
        "A mentor says their share on each of their paths. In the club of " +
        std::to_string(outcome.effort.club_members) + " that makes " +
        number_words(static_cast<double>(usual.club_words) / member_weeks) +
        " events a member and week in the club's circle and " +
        number_words(static_cast<double>(usual.path_words) / member_weeks) +
        " on paths. Lengths are those that the production encoder gives to invented words. An event takes 91 bytes "
        "beside its body on the wire, 33 more if it is the first to know of a change among members, and 16 more "
        "if it is the first under a new key.");
}

void say_agreement(Page& page, const Outcome& outcome) {
    page.head("Is the byte model right?");
    page.say("The model adds up the wire form of every message of a visit. In one club of " +
             std::to_string(outcome.effort.club_members) + " for " + std::to_string(outcome.effort.real_days) +
             " days the production `Visitor`, `Attendant` and `Session` ran beside it, with real encodings, claims and "
             "receipts: every visit that had something to find, and one in " +
             std::to_string(outcome.effort.real_one_in) +
             " of those that had not. Events carry signatures of the right length that are not checked. After each "
             "visit both sides held what the model said, with " +
             std::to_string(outcome.disagreements) + " exceptions.");
    page.table({"visits", "number", "bytes, production", "bytes, model", "difference", "worst visit off by"});
    for (const auto& [kind, a] : outcome.agreement) {
        const double real = static_cast<double>(a.real_bytes);
        page.row({name_of(kind), number_words(static_cast<double>(a.visits)), number_words(real),
                  number_words(static_cast<double>(a.modelled_bytes)),
                  share_words(std::abs(static_cast<double>(a.modelled_bytes) - real) / real),
                  bytes_words(static_cast<double>(a.most_bytes_off))});
    }
    page.end();
    page.say(
        "The walk down the tree is an expectation, because tags are drawn anew for each connection. With a cursor a "
        "visit may cost 1.05 E + 128 + 24 dL beyond an equal one; the worst production visit cost " +
        number_words(outcome.worst_formula) +
        " of that. (E counts what events name beside their body, dL the logs that changed on either side since the "
        "two were equal.) What keys cost is worked out from the same encoders and was not run through the "
        "production objects visit by visit; a test holds one such visit against it. `scale_tests` repeats all this "
        "on a small club.");
}

}  // namespace ladderline::scale
