// The page of what was measured in time.

#include "tests/scale/report.hpp"
#include "tests/scale/report_parts.hpp"

namespace ladderline::scale {
namespace {

std::string time_us(double us) {
    if (us < 1000) return number_words(us) + " microseconds";
    if (us < 1e6) return number_words(us / 1000) + " ms";
    return number_words(us / 1e6) + " s";
}

void say_visits(Page& page, const Outcome& outcome) {
    page.table({"one visit, visitor and courier together", "CPU", "messages"});
    for (const auto& [kind, a] : outcome.agreement) {
        if (kind == VisitKind::cut || a.visits == 0) continue;
        const double visits = static_cast<double>(a.visits);
        page.row({kind == VisitKind::equal    ? "equal roots"
                  : kind == VisitKind::cursor ? "with a cursor"
                                              : "down the tree",
                  time_us(a.cpu_s / visits * 1e6), number_words(static_cast<double>(a.messages) / visits)});
    }
    page.end();
    page.say(
        "Access claims and receipts are signed and checked in it; the handshake (some five operations on curves each "
        "side), the store and the checks of events are not.");
}

}  // namespace

std::string measured_page(const Outcome& outcome, const Work& work, const std::string& machine) {
    Page page;
    page.say("# Measured in time");
    page.say(
        "Written with [report.md](report.md), on one machine (" + machine +
        "), one core, CPU time and not time on the wall; other work on the machine makes it worse. Other runs give "
        "other figures.");
    say_visits(page, outcome);
    page.say("An event that comes alone costs " + time_us(work.event_check) + " to check (hash and signature).");
    page.table({"members, after a year", "events that decide who belongs", "all heads hashed", "tree made", "fold",
                "fold, had nobody gone", "copies of a new key", "a beacon heard"});
    for (const Work::AtSize& at : work.sizes) {
        page.row({number_words(static_cast<double>(at.members)), number_words(static_cast<double>(at.control_events)),
                  time_us(at.root), time_us(at.tree), time_us(at.fold), time_us(at.quiet_fold),
                  at.wraps == 0 ? "refused" : time_us(at.wraps), time_us(at.beacon)});
    }
    page.end();
    if (work.sizes.size() < 2) return page.text();
    const Work::AtSize& less = work.sizes[work.sizes.size() - 2];
    const Work::AtSize& more = work.sizes.back();
    const double times = static_cast<double>(more.members) / static_cast<double>(less.members);
    page.say("From the last line but one to the last the club is " + number_words(times) +
             " times as large: the fold costs " + number_words(more.fold / less.fold) + " times as much, a beacon " +
             number_words(more.beacon / less.beacon) + " times, the hash of all heads " +
             number_words(more.root / less.root) + " times.");
    return page.text();
}

}  // namespace ladderline::scale
