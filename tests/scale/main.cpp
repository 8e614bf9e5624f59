#include <cstdio>
#include <cstdlib>
#include "tests/scale/real_visits.hpp"
#include "tests/bench/cpu_time.hpp"
using namespace ladderline::scale;
int main(int argc, char** argv) {
    Plan plan; plan.members = argc > 1 ? atoi(argv[1]) : 200; plan.days = argc > 2 ? atoi(argv[2]) : 14;
    bool real = argc > 3;
    double b = ladderline::bench::cpu_s();
    Club club(plan);
    RealVisits w(club, 7, 50, ladderline::bench::cpu_s);
    if (real) club.set_witness(&w);
    printf("made %.2f s, circles %zu seats %zu devices %zu\n", ladderline::bench::cpu_s()-b, club.circles().size(), club.seats().size(), club.devices().size());
    club.run();
    printf("ran %.2f s\n", ladderline::bench::cpu_s()-b);
    const Figures& f = club.figures();
    printf("visits %lu equal %lu cursor %lu tree %lu failed %lu cut %lu shut %lu rot %lu joined %lu gone %lu settle %lu %d\n", f.visits, f.equal, f.by_cursor, f.by_tree, f.failed, f.cut, f.shut_out, f.rotations, f.joined, f.gone, f.settle_s, f.is_settled);
    printf("member/day mean %.0f p95 %lu worst %lu; courier/day up %.0f down %.0f visits %.0f\n", f.member_both.mean(), f.member_both.percent(95), f.member_both.worst(), f.courier_up.mean(), f.courier_down.mean(), f.courier_visits.mean());
    printf("equal bytes %lu diff %lu key %lu event %lu; formula %lu/%lu worst %.2f\n", f.equal_bytes.both(), f.differing_bytes.both(), f.key_bytes.both(), f.event_bytes, f.formula_held, f.formula_visits, f.formula_worst);
    for (auto* d : {&f.club, &f.path}) printf("half %lu/%lu most %lu/%lu all %lu/%lu online %lu/%lu n %lu\n", d->half.percent(50), d->half.percent(95), d->most.percent(50), d->most.percent(95), d->all.percent(50), d->all.percent(95), d->online.percent(50), d->online.percent(95), d->all.count());
    printf("words %lu %lu %lu dev events %.0f bytes %.0f courier events %.0f used %.0f places %.0f\n", f.club_words, f.path_words, f.desk_words, f.device_events.mean(), f.device_body_bytes.mean(), f.courier_events.mean(), f.courier_used_bytes.mean(), f.courier_places.mean());
    for (auto& [k, a] : w.agreement()) printf("kind %d visits %lu model %lu real %lu most off %lu (%.3f) cpu/visit %.0f us msgs %lu\n", (int)k, a.visits, a.modelled_bytes, a.real_bytes, a.most_bytes_off, a.most_share_off, a.cpu_s/(double)a.visits*1e6, a.messages);
    printf("disagreements %lu worst formula %.3f\n", w.disagreements(), w.worst_formula());
}
