// What breaks first when there are a million members: in 5,000 clubs, or in one.

#include <cmath>

#include "protocol/limits.hpp"
#include "tests/scale/report_parts.hpp"

namespace ladderline::scale {
namespace {

namespace limits = protocol::limits;

constexpr double million = 1e6;
constexpr double days_a_month = 30;
constexpr double away_days = 14;
constexpr double head_bytes = 16 + 2 + 32 + 1;

std::string plain(double value) {
    return number_words(std::round(value));
}
double devices_each() {
    return 1 + Assumptions{}.second_device;
}
double goings_a_day() {
    return Assumptions{}.going_month / days_a_month;
}
double goings_a_year() {
    return 12 * Assumptions{}.going_month;
}
double copy_bytes(double members) {
    return static_cast<double>(KeyCosts(static_cast<std::size_t>(devices_each() * members)).copy);
}
double places_each(const Outcome& outcome) {
    return usual_club(outcome).end.courier_places.mean() / outcome.effort.club_members;
}

void say_many_clubs(Page& page, const Outcome& outcome) {
    const Figures& usual = usual_club(outcome);
    const double clubs = million / outcome.effort.club_members;
    const double places = usual.end.courier_places.mean();
    const double clubs_a_courier = std::floor(limits::courier_places_max / places);
    const double machines = std::ceil(clubs / clubs_a_courier) * couriers_each;
    const double day_bytes = (usual.courier_up.mean() + usual.courier_down.mean()) * clubs_a_courier;
    const YearStores stores = year_stores(outcome, usual, outcome.effort.club_members, outcome.effort.days);
    page.say("### A million in " + plain(clubs) + " clubs of " + std::to_string(outcome.effort.club_members));
    page.say(
        "Nothing on a member's machine changes: the table for 10,000 holds. What is shared is only what people "
        "choose to share, a courier's machine. It keeps at most " +
        plain(limits::courier_places_max) + " circles, which is " + plain(places) + " for a club, so " +
        plain(clubs_a_courier) + " clubs a machine and " + plain(machines) +
        " machines for the million, two for each club. One of them sees " + bytes_words(day_bytes) + " a day, " +
        number_words(usual.courier_visits.mean() * clubs_a_courier / 86'400) +
        " visits a second on average and at most " +
        number_words(static_cast<double>(usual.courier_hour_visits.worst()) * clubs_a_courier / 3600) +
        " if the worst hours of all its clubs fell together, and keeps " +
        bytes_words(stores.courier * clubs_a_courier) +
        " after a year. First to bind there: the 4,096 circles (a bound of ours that can be raised), then the 128 "
        "callers at once, then the disk. What costs most is idle visits, see below.");
}

void say_one_club(Page& page, const Outcome& outcome) {
    const Figures& usual = usual_club(outcome);
    const double member_days = static_cast<double>(usual.people_days);
    const double words_year = static_cast<double>(usual.club_words) / member_days * 365 * million;
    const double control = (1 + 3 * goings_a_year()) * million;
    const double copies = devices_each() * million;
    page.say("### A million in one club");
    page.say("Arithmetic from the same assumptions, as if every bound were lifted:");
    page.table({"what", "a club of " + std::to_string(outcome.effort.club_members), "one club of a million"});
    const double n = outcome.effort.club_members;
    page.row({"logs of the club's circle", plain(devices_each() * n),
              plain(devices_each() * million) + ", bound " + plain(limits::heads_max)});
    page.row({"heads hashed at every visit, on either side", bytes_words(devices_each() * n * head_bytes),
              bytes_words(devices_each() * million * head_bytes)});
    page.row({"events of the club's circle in a year", plain(words_year * n / million), plain(words_year)});
    page.row({"to be received by everybody, a day", bytes_words(words_year * n / million / 365 * 250),
              bytes_words(words_year / 365 * 250) + " at some 250 bytes each"});
    page.row({"kept by everybody after a year", bytes_words(words_year * n / million * outcome.store.device_event),
              bytes_words(words_year * outcome.store.device_event)});
    page.row({"new keys", plain(goings_a_day() * n * days_a_month) + " a month",
              plain(goings_a_day() * million) + " a day, one in " + time_words(86'400 / (goings_a_day() * million))});
    page.row({"sealed copies of one new key", bytes_words(devices_each() * n * copy_bytes(n)),
              bytes_words(copies * copy_bytes(million)) + ", bound " + plain(limits::wrap_copies_max) + " copies"});
    page.row({"events that decide who belongs, after a year", plain(control * n / million), plain(control)});
    page.row({"of these the fold keeps one bit for each pair", bytes_words(std::pow(control * n / million, 2) / 8),
              bytes_words(control * control / 8)});
    page.end();
    page.say(
        "So a club of a million is out of the question by four orders of magnitude, and by design: a club is people "
        "who can know each other. The way to grow is more clubs; nothing in the program needs them to know of one "
        "another.");
}

void say_bounds(Page& page, const Outcome& outcome) {
    page.say("### What breaks first in a club that grows");
    page.say("![How much of each bound a club uses up](bounds.svg)");
    page.table({"bound", "reached at members", "what happens there", "what can be done"});
    for (const Bound& bound : bounds(outcome)) {
        page.row({bound.name + " (" + plain(bound.bound) + ")", plain(bound.members_at_bound()), bound.at_bound,
                  bound.remedy});
    }
    page.end();
    page.say("These are not bounds but works that grow; `measured.md` has their CPU:");
    page.table({"work", "grows with", "where it hurts", "what can be done"});
    page.row({"fold of who belongs",
              "faster than the square of members, once people go and keys change: each going "
              "carries out everything before it again",
              "half a second to a second at 1,000 members after a year, and some seven times as much at 2,000, at each "
              "change",
              "carry the state on where a removal voids nothing that is known (the usual case); a club without goings "
              "folds in a small part of the time"});
    page.row(
        {"a beacon that is heard", "devices times all epoch keys ever held",
         "a quarter of a second at 1,000 members after a year, for each of some two datagrams a minute and neighbour: "
         "an evening of a hundred nodes keeps a core busy",
         "try the newest few keys only, end at the first hit, "
         "remember a neighbour by the beacon's run"});
    page.row({"a visit with equal roots", "logs, on both sides",
              "no trouble: the signatures of the visit cost more than "
              "the hash up to some thousands of logs",
              "keep the root beside the logs"});
    page.row({"copies of a new key", "devices times goings: the square of members",
              "at 5,000 members the registrar leaves " +
                  bytes_words(couriers_each * goings_a_day() * 5000 * devices_each() * 5000 * copy_bytes(5000)) +
                  " a day at the two couriers; 8 MiB of copies are the last " +
                  number_words(limits::courier_wraps_bytes_max / (devices_each() * 5000 * copy_bytes(5000))) + " keys",
              "replace keys once a day for all goings of it, not at each; one ephemeral key for all copies"});
    page.row(
        {"idle visits", "circles times couriers times hours on",
         "nine tenths of all visits at 200 members; a mentor "
         "with many paths pays for each",
         "longer pauses where nothing has come for a while (table above: a quarter "
         "of an hour costs a third and delays the slowest twentieth by minutes); one connection kept open while on"});
    page.end();
}

}  // namespace

std::vector<Bound> bounds(const Outcome& outcome) {
    const double year_goings = goings_a_year();
    return {
        {"keys for who comes back, after a year", static_cast<double>(limits::epoch_keys_max), year_goings,
         "who comes back with the paper key is given the newest 256 and follows the links to older ones",
         "fewer keys: one a day at most"},
        {"access keys of before, in two weeks", static_cast<double>(limits::courier_former_max),
         goings_a_day() * away_days,
         "who was away for two weeks is no longer known at the couriers and needs a member's node to come back",
         "remember them by age, as long as copies are kept, and not by number"},
        {"circles at a courier", static_cast<double>(limits::courier_places_max), places_each(outcome),
         "the next path finds no place there", "another courier; or raise it"},
        {"copies of a new key", static_cast<double>(limits::wrap_copies_max), devices_each(),
         "nobody can be removed any more, because a removal and its new key are one act; after somebody leaves no new "
         "key comes",
         "let the removal stand without a key, and say so; copies in a tree of subgroups, or a higher bound: it costs "
         "bytes"},
        {"logs of a circle, after a year", static_cast<double>(limits::heads_max), devices_each() * (1 + year_goings),
         "sync says that the circle has grown beyond what it can name; it stays readable",
         "logs of people who are gone folded into one digest; trees in pieces"},
    };
}

double members_at_bound(const Outcome& outcome, const std::string& name) {
    for (const Bound& bound : bounds(outcome)) {
        if (bound.name.starts_with(name)) return bound.members_at_bound();
    }
    return 0;
}

void say_million(Page& page, const Outcome& outcome) {
    page.head("What would break first at a million members");
    say_many_clubs(page, outcome);
    say_one_club(page, outcome);
    say_bounds(page, outcome);
}

}  // namespace ladderline::scale
