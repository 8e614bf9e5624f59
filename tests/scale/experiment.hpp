#pragma once
// All runs that the report speaks of.

#include <functional>
#include <map>
#include <string>

#include "tests/scale/club.hpp"
#include "tests/scale/measure.hpp"
#include "tests/scale/real_visits.hpp"

namespace ladderline::scale {

struct Effort {
    std::uint64_t seed = 1;
    std::uint32_t days = 365;
    std::uint32_t club_members = 200;
    std::vector<std::uint32_t> clubs{1, 5, 10, 25, 50};
    struct Size {
        std::uint32_t members = 0;
        std::uint32_t days = 0;
    };
    std::vector<Size> sizes{{50, 365}, {200, 365}, {1000, 365}, {5000, 14}};
    std::vector<std::uint32_t> pauses_s{300, 900, 1800, 3600};
    std::vector<double> talks{1, 5, 20};
    std::uint32_t real_days = 7;
    std::uint32_t real_one_in = 50;
    std::size_t store_logs = 100;
    std::size_t store_events = 5000;
};

struct Outcome {
    Effort effort;
    std::vector<Figures> by_clubs;  // as effort.clubs
    std::vector<Figures> by_size;
    std::vector<Figures> by_pause;
    std::vector<Figures> by_talk;
    Figures real_club;
    std::map<VisitKind, Agreement> agreement;
    std::uint64_t disagreements = 0;
    double worst_formula = 0;
    StoreBytes store;
};

// `say` gets a line now and then. `cpu_s` may be none: then no visit is timed.
Outcome run_all(const Effort& effort, CpuClock cpu_s, const std::function<void(const std::string&)>& say);

// What a figure of the start and one of the end say about a year, if the days between are fewer.
double after_a_year(const Tally& start, const Tally& end, std::uint32_t days);

}  // namespace ladderline::scale
