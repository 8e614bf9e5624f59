#pragma once
// A question pool and the reader of its published plain-text layout (the layout is described at the head of pool.cpp).

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

inline constexpr int pool_choices = 4;
inline constexpr std::size_t pool_text_bytes_max = 8U << 20;  // published pools have about 0.2 MB

struct PoolQuestion {
    std::string id;        // "G1A01"
    int group = 0;         // index into Pool::groups
    int key = 0;           // 0 to 3: the right choice
    std::string citation;  // free text as printed, without the outer brackets; often empty
    std::string stem;
    std::array<std::string, pool_choices> choices;
    std::string figure;  // "G7-1" if the stem names a figure, else empty

    bool operator==(const PoolQuestion&) const = default;
};

struct PoolGroup {
    std::string id;  // "G1A"
    std::string title;
    std::vector<int> questions;  // indices into Pool::questions, in pool order, never empty
    bool operator==(const PoolGroup&) const = default;
};

struct PoolSubelement {
    std::string id;     // "G1"
    std::string title;  // without the bracketed numbers, which go stale
    bool operator==(const PoolSubelement&) const = default;
};

struct Pool {
    int element = 0;
    std::string title;      // "FCC Element 3 Question Pool"
    std::string edition;    // first line of the document, which names the year span and the newest errata
    std::string effective;  // "7/01/2023 – 6/30/2027" as printed; may be empty
    std::optional<Day> valid_from;
    std::optional<Day> valid_until;  // last day; some pools print none
    std::optional<int> first_year;   // year span of the edition, if it is printed
    std::optional<int> last_year;
    std::vector<PoolSubelement> subelements;
    std::vector<PoolGroup> groups;        // in pool order
    std::vector<PoolQuestion> questions;  // in pool order, withdrawn ones left out
    std::vector<std::string> withdrawn;   // ids, in pool order
    bool operator==(const Pool&) const = default;

    // Index of the question with this id, if it is in the pool and not withdrawn.
    std::optional<int> find(std::string_view id) const;
    bool is_withdrawn(std::string_view id) const;
    // Whether the pool is in force on that day; a bound that is not printed does not bind.
    bool in_force(Day day) const;
};

// Reads a whole pool, or nothing: the error is bad_input, one sentence that names the line.
Result<Pool> read_pool(std::string_view text);

}  // namespace ladderline::domain
