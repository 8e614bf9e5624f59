#include "tests/scale/figures.hpp"

#include <algorithm>

namespace ladderline::scale {

void Delays::add(const Delays& other) {
    half.add(other.half);
    most.add(other.most);
    all.add(other.all);
    online.add(other.online);
}

void Weights::add(const Weights& other) {
    for (const auto tally : {&Weights::device_events, &Weights::device_circles, &Weights::device_body_bytes,
                             &Weights::courier_events, &Weights::courier_used_bytes, &Weights::courier_places}) {
        (this->*tally).add(other.*tally);
    }
}

void Figures::add(const Figures& other) {
    for (const auto tally : {&Figures::member_up, &Figures::member_down, &Figures::member_both, &Figures::courier_up,
                             &Figures::courier_down, &Figures::courier_visits, &Figures::courier_hour_visits}) {
        (this->*tally).add(other.*tally);
    }
    for (const auto count :
         {&Figures::visits, &Figures::equal, &Figures::by_cursor, &Figures::by_tree, &Figures::failed, &Figures::cut,
          &Figures::event_bytes, &Figures::shut_out, &Figures::rotations, &Figures::joined, &Figures::gone,
          &Figures::formula_held, &Figures::formula_visits, &Figures::club_words, &Figures::path_words,
          &Figures::desk_words, &Figures::people_days}) {
        this->*count += other.*count;
    }
    equal_bytes += other.equal_bytes;
    differing_bytes += other.differing_bytes;
    key_bytes += other.key_bytes;
    formula_worst = std::max(formula_worst, other.formula_worst);
    start.add(other.start);
    end.add(other.end);
    club.add(other.club);
    path.add(other.path);
    settle_s = std::max(settle_s, other.settle_s);
    is_settled = is_settled && other.is_settled;
}

}  // namespace ladderline::scale
