#include "tests/scale/report.hpp"

#include <cmath>

#include "tests/scale/report_parts.hpp"

namespace ladderline::scale {
namespace {

double at(const Tally& tally, double share) {
    return static_cast<double>(tally.percent(share));
}
std::string spread(const Tally& tally) {
    return bytes_words(tally.mean()) + " / " + bytes_words(at(tally, 95)) + " / " +
           bytes_words(static_cast<double>(tally.worst()));
}
std::string wait(const Tally& tally) {
    if (tally.count() == 0) return "-";
    return time_words(at(tally, 50)) + " / " + time_words(at(tally, 95)) + " / " +
           time_words(static_cast<double>(tally.worst()));
}
std::string plain(double value) {
    return number_words(std::round(value));
}
double all_bytes(const Figures& f) {
    return static_cast<double>(f.equal_bytes.both() + f.differing_bytes.both() + f.key_bytes.both());
}

void say_in_short(Page& page, const Outcome& outcome) {
    const Figures& most = outcome.by_clubs.back();
    const Figures& usual = usual_club(outcome);
    const std::uint32_t people = outcome.effort.clubs.back() * outcome.effort.club_members;
    const YearStores stores = year_stores(outcome, usual, outcome.effort.club_members, outcome.effort.days);
    page.item("**Members in clubs cost nothing to one another.** " + plain(people) + " members in " +
              std::to_string(outcome.effort.clubs.back()) + " clubs send and receive " +
              bytes_words(most.member_both.mean()) +
              " a member and day (95 % of member-days: " + bytes_words(at(most.member_both, 95)) + "), " +
              std::to_string(outcome.effort.club_members) + " members " + bytes_words(usual.member_both.mean()) + ".");
    page.item("**" + share_words(equal_share(most)) + " of visits find nothing**, and " +
              share_words(static_cast<double>(most.equal_bytes.both()) / all_bytes(most)) +
              " of all bytes are spent on finding that out: an idle visit costs some 630 bytes, and a device that is "
              "always on makes one every five or six minutes for each circle at each courier.");
    page.item(
        "**News waits for people, not for the net.** From the moment a reader's device is on, half of all events "
        "are there within " +
        time_words(at(most.club.online, 50)) + " and 95 % within " + time_words(at(most.club.online, 95)) +
        "; until everybody's device has been on takes " + time_words(at(most.club.all, 50)) + ".");
    page.item("**A year of such a club** takes " + bytes_words(stores.device) + " on a member's disk and " +
              bytes_words(stores.courier) + " on a courier's.");
    const auto members = [&](const std::string& bound) { return plain(members_at_bound(outcome, bound)); };
    page.item(
        "**One club that grows is what breaks.** Up to a few hundred members nothing does. At a thousand, after a "
        "year, the first things to hurt are CPU: working out who belongs, and beacons heard at a club's evening "
        "(`measured.md`). From " +
        members("access keys") + " members on who was away for two weeks is not known at the couriers any more, from " +
        members("circles at") + " on a courier has no place for the next path, and from " + members("copies of") +
        " on nobody can be removed.");
    page.end();
}

void say_clubs(Page& page, const Outcome& outcome) {
    page.head("More members in more clubs");
    page.say("Clubs of " + std::to_string(outcome.effort.club_members) + ", " + std::to_string(outcome.effort.days) +
             " days, two couriers a club. Three figures are mean / 95 % / worst.");
    page.table({"members", "sent a member-day", "received a member-day", "both", "courier: in a day",
                "courier: out a day", "visits a member-day", "equal roots", "worst hour of a courier, visits"});
    for (std::size_t i = 0; i < outcome.by_clubs.size(); ++i) {
        const Figures& f = outcome.by_clubs[i];
        page.row({plain(outcome.effort.clubs[i] * outcome.effort.club_members), spread(f.member_up),
                  spread(f.member_down), spread(f.member_both), spread(f.courier_up), spread(f.courier_down),
                  plain(static_cast<double>(f.visits) / static_cast<double>(f.people_days)),
                  share_words(equal_share(f)), plain(static_cast<double>(f.courier_hour_visits.worst()))});
    }
    page.end();
    page.say("![Bytes a member and day against members](traffic_members.svg)");
    page.say(
        "Delays are median / 95 % / worst over events; \"half\", \"most\" and \"all\" are the moments when 50, 95 and "
        "100 % of the devices that were in the circle when the event was written had it. The worst of those whose "
        "reader was on waited for an author whose device went off before it had told a courier. "
        "Time goes in seconds, and a visit takes none.");
    page.table({"members", "club: half", "club: most", "club: all", "path: half", "path: all",
                "each delivery, from when its reader was on", "after the last fault"});
    for (std::size_t i = 0; i < outcome.by_clubs.size(); ++i) {
        const Figures& f = outcome.by_clubs[i];
        page.row(
            {plain(outcome.effort.clubs[i] * outcome.effort.club_members), wait(f.club.half), wait(f.club.most),
             wait(f.club.all), wait(f.path.half), wait(f.path.all), wait(f.club.online),
             (f.is_settled ? "all equal within " : "NOT EQUAL after ") + time_words(static_cast<double>(f.settle_s))});
    }
    page.end();
}

void say_sizes(Page& page, const Outcome& outcome) {
    page.head("A club that grows");
    page.say(
        "Shorter runs are stretched to a year where a store is meant. The club of 5,000 is simulated as if the bounds "
        "of the last section did not stand in its way.");
    page.table({"members", "days", "both ways a member-day", "courier: in a day", "courier: out a day", "equal roots",
                "bytes for keys", "club: most", "club: all", "from when its reader was on",
                "devices that came after more than 16 new keys"});
    for (std::size_t i = 0; i < outcome.by_size.size(); ++i) {
        const Figures& f = outcome.by_size[i];
        const Effort::Size& size = outcome.effort.sizes[i];
        page.row({plain(size.members), std::to_string(size.days), spread(f.member_both), spread(f.courier_up),
                  spread(f.courier_down), share_words(equal_share(f)),
                  share_words(static_cast<double>(f.key_bytes.both()) / all_bytes(f)), wait(f.club.most),
                  wait(f.club.all), wait(f.club.online), plain(static_cast<double>(f.shut_out))});
    }
    page.end();
    page.say("![Bytes a member and day against the size of the club](traffic_size.svg)");
    page.say("![Delay against the size of the club](delay_size.svg)");
    page.table({"members", "events a device holds after a year", "device's store", "courier's store, all circles",
                "as the courier's quota counts", "circles at a courier"});
    for (std::size_t i = 0; i < outcome.by_size.size(); ++i) {
        const Figures& f = outcome.by_size[i];
        const Effort::Size& size = outcome.effort.sizes[i];
        const YearStores stores = year_stores(outcome, f, size.members, size.days);
        page.row({plain(size.members), plain(after_a_year(f.start.device_events, f.end.device_events, size.days)),
                  bytes_words(stores.device), bytes_words(stores.courier), bytes_words(stores.courier_quota),
                  plain(f.end.courier_places.mean())});
    }
    page.end();
    page.say("Measured in this run with the production store in memory: " + number_words(outcome.store.device_event) +
             " bytes an event with a plain body of 120 bytes on a device, all page tables included, and " +
             number_words(outcome.store.courier_event) + " on a courier; " + number_words(outcome.store.device_member) +
             " and " + number_words(outcome.store.courier_member) +
             " bytes for a member of the circle. Bodies of other lengths are taken as so much longer or shorter.");
    page.say("![Store after a year against the size of the club](store_size.svg)");
}

void say_choices(Page& page, const Outcome& outcome) {
    page.head("Where the bytes go, and what they depend on");
    const Figures& usual = usual_club(outcome);
    const double all = all_bytes(usual);
    page.table({"club of " + std::to_string(outcome.effort.club_members), "share of all bytes"});
    page.row({"visits that find equal roots", share_words(static_cast<double>(usual.equal_bytes.both()) / all)});
    page.row({"events, as 91 + body and what they name", share_words(static_cast<double>(usual.event_bytes) / all)});
    page.row({"the rest of visits that bring something",
              share_words(static_cast<double>(usual.differing_bytes.both() - usual.event_bytes) / all)});
    page.row({"new keys: copies left, fetched, asked for again",
              share_words(static_cast<double>(usual.key_bytes.both()) / all)});
    page.end();
    page.table({"pause between visits", "both ways a member-day", "courier: visits a day",
                "from when its reader was on, median / 95 % / worst"});
    for (std::size_t i = 0; i < outcome.by_pause.size(); ++i) {
        const Figures& f = outcome.by_pause[i];
        page.row({time_words(outcome.effort.pauses_s[i]) + " and up to a fifth more", spread(f.member_both),
                  plain(f.courier_visits.mean()), wait(f.club.online)});
    }
    page.end();
    page.table(
        {"times the assumed events", "both ways a member-day", "equal roots", "events of a device after the run"});
    for (std::size_t i = 0; i < outcome.by_talk.size(); ++i) {
        const Figures& f = outcome.by_talk[i];
        page.row({number_words(outcome.effort.talks[i]), spread(f.member_both), share_words(equal_share(f)),
                  plain(f.end.device_events.mean())});
    }
    page.end();
}

template <class Of>
Line line_of(const std::string& name, const std::vector<Figures>& runs, const std::vector<double>& across, Of of) {
    Line out{name, {}};
    for (std::size_t i = 0; i < runs.size(); ++i) {
        const double value = of(runs[i], i);
        if (value > 0) out.points.emplace_back(across[i], value);
    }
    return out;
}

void add_plots(ReportFiles& files, const Outcome& outcome) {
    std::vector<double> members;
    std::vector<double> sizes;
    for (const std::uint32_t clubs : outcome.effort.clubs) members.push_back(clubs * outcome.effort.club_members);
    for (const Effort::Size& size : outcome.effort.sizes) sizes.push_back(size.members);
    const auto mean_kb = [](const Figures& f, std::size_t) { return f.member_both.mean() / 1000; };
    const auto high_kb = [](const Figures& f, std::size_t) { return at(f.member_both, 95) / 1000; };
    const auto courier_kb = [](const Figures& f, std::size_t) {
        return (f.courier_up.mean() + f.courier_down.mean()) / 1000;
    };
    const auto traffic = [&](const std::string& title, const std::string& axis, const std::vector<Figures>& runs,
                             const std::vector<double>& across) {
        return svg_of({title,
                       axis,
                       "kB a day, both ways",
                       true,
                       true,
                       {line_of("member, mean", runs, across, mean_kb), line_of("member, 95 %", runs, across, high_kb),
                        line_of("one courier, mean", runs, across, courier_kb)}});
    };
    files["traffic_members.svg"] =
        traffic("Traffic: more clubs of the same size", "members in all", outcome.by_clubs, members);
    files["traffic_size.svg"] = traffic("Traffic: one club that grows", "members of the club", outcome.by_size, sizes);
    const auto hours = [](const Tally& tally, double share) { return at(tally, share) / 3600; };
    files["delay_size.svg"] =
        svg_of({"Delay of a club's event",
                "members of the club",
                "hours",
                true,
                true,
                {line_of("all readers, median", outcome.by_size, sizes,
                         [&](const Figures& f, std::size_t) { return hours(f.club.all, 50); }),
                 line_of("95 % of readers, median", outcome.by_size, sizes,
                         [&](const Figures& f, std::size_t) { return hours(f.club.most, 50); }),
                 line_of("half of readers, median", outcome.by_size, sizes,
                         [&](const Figures& f, std::size_t) { return hours(f.club.half, 50); }),
                 line_of("a reader who is on, 95 %", outcome.by_size, sizes,
                         [&](const Figures& f, std::size_t) { return hours(f.club.online, 95); })}});
    const auto stores = [&](const Figures& f, std::size_t i) {
        return year_stores(outcome, f, outcome.effort.sizes[i].members, outcome.effort.sizes[i].days);
    };
    files["store_size.svg"] =
        svg_of({"Store after a year",
                "members of the club",
                "MB",
                true,
                true,
                {line_of("a device", outcome.by_size, sizes,
                         [&](const Figures& f, std::size_t i) { return stores(f, i).device / 1e6; }),
                 line_of("a courier of the club", outcome.by_size, sizes,
                         [&](const Figures& f, std::size_t i) { return stores(f, i).courier / 1e6; })}});
    Plot use{"How much of each bound a club uses up",
             "members of the club",
             "share of the bound (1: reached)",
             true,
             true,
             {}};
    for (const Bound& bound : bounds(outcome)) {
        if (use.lines.size() == 6) break;
        Line line{bound.name, {}};
        for (const double n : {50.0, 200.0, 1000.0, 5000.0, 20'000.0})
            line.points.emplace_back(n, n * bound.a_member / bound.bound);
        use.lines.push_back(std::move(line));
    }
    files["bounds.svg"] = svg_of(use);
}

}  // namespace

const Figures& usual_club(const Outcome& outcome) {
    return outcome.by_clubs.front();
}

double equal_share(const Figures& figures) {
    return static_cast<double>(figures.equal) / static_cast<double>(figures.visits);
}

YearStores year_stores(const Outcome& outcome, const Figures& f, std::uint32_t members, std::uint32_t days) {
    constexpr double plain_body = 120 + 16;
    const StoreBytes& store = outcome.store;
    const double events = after_a_year(f.start.device_events, f.end.device_events, days);
    const double bodies = after_a_year(f.start.device_body_bytes, f.end.device_body_bytes, days);
    const double there = after_a_year(f.start.courier_events, f.end.courier_events, days);
    const double quota = after_a_year(f.start.courier_used_bytes, f.end.courier_used_bytes, days);
    const double sealed = quota - 256 * there;  // the quota counts 256 bytes beside each body
    return {events * (store.device_event - plain_body) + bodies + members * store.device_member,
            there * (store.courier_event - plain_body) + sealed + members * store.courier_member, quota};
}

ReportFiles report_of(const Outcome& outcome) {
    Page page;
    page.say("# Ten thousand members, and a million");
    page.say("Written by `tests/scale` (`scale --report tests/scale/report`, seed " +
             std::to_string(outcome.effort.seed) +
             "). The same seed gives the same page; what was measured in time stands in [measured.md](measured.md).");
    say_in_short(page, outcome);
    say_clubs(page, outcome);
    say_sizes(page, outcome);
    say_choices(page, outcome);
    say_million(page, outcome);
    say_assumptions(page, outcome);
    say_agreement(page, outcome);
    ReportFiles files;
    add_plots(files, outcome);
    files["report.md"] = page.text();
    return files;
}

}  // namespace ladderline::scale
