#pragma once
// The same contacts in two people's logs: found in spite of clocks that differ, and of a row missing here or there.
// Method: within a group of rows with the same two stations, band and mode group as many pairs as possible within a
// tolerance, and of those pairings the one with the least sum of time differences (dynamic programming over sorted
// times). The difference of two clocks is the median over rows that can only belong together.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "node/domain/radio/mode.hpp"
#include "node/domain/rules/call_sign.hpp"

namespace ladderline::domain {

struct MatchRow {
    SplitCall own;
    SplitCall worked;
    double minute_utc = 0;  // since any instant that both logs share
    std::string band;       // a name of band.hpp
    ModeGroup mode = ModeGroup::phone;
};

// How far the second clock is ahead of the first. Minutes.
struct ClockDifference {
    double minutes = 0;
    double standard_error = 0;
    std::size_t pairs = 0;  // rows it rests on, 5 at least
    // Large and certain enough to be taken out: more than 2 minutes, and more than 3 standard errors.
    bool counts() const;
    // Within 3 minutes of a multiple of a quarter of an hour, and half an hour at least: local time, not UTC? The
    // multiple, minutes.
    std::optional<int> looks_like_zone() const;
};

// None with fewer than 5 rows that can only belong together: of the same stations, band and mode group, with one row of
// the other log within 18 hours, and no other of its own within 36.
std::optional<ClockDifference> clock_difference(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b);

struct RowPair {
    std::size_t a = 0;  // positions in the logs
    std::size_t b = 0;
    double apart_min = 0;  // b's time less a's less the clock difference

    bool operator==(const RowPair&) const = default;
};

inline constexpr double tolerance_min = 30;          // where nothing is known of the clocks
inline constexpr double tolerance_aligned_min = 15;  // after the difference was looked at

// In order of `a`. Every row is used once at most.
std::vector<RowPair> match_rows(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b, double difference_min,
                                double within_min);

enum class Differs : std::uint8_t { call, band, mode, time };
// Left over on both sides and alike but for one thing: for people to look at, never confirmed by itself.
struct NearMiss {
    std::size_t a = 0;
    std::size_t b = 0;
    Differs in = Differs::time;

    bool operator==(const NearMiss&) const = default;
};

struct LogMatch {
    std::optional<ClockDifference> clocks;
    std::vector<RowPair> agreed;
    std::vector<NearMiss> near_misses;  // in order of `a`; every row once at most
};

// All of it: the difference is taken out where it counts. A near miss differs in one letter of one call, in the band,
// in the mode group, or in time by up to a day.
LogMatch match_logs(const std::vector<MatchRow>& a, const std::vector<MatchRow>& b);

}  // namespace ladderline::domain
