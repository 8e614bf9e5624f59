#pragma once
// Reading the tables of node/rules: remarks begin with #, then one heading, then lines of tab-separated fields. What is
// wrong is said with the name of the file and the number of the line; nothing of a bad file is used.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "protocol/base/result.hpp"
#include "protocol/base/time.hpp"

namespace ladderline::domain {

// Where a line of a rule book comes from, and whether it may be relied on.
struct RuleSource {
    std::string rule;  // section of the rule; "-" if none was read
    Day as_of;         // the day for which the text was right
    bool certain = false;
    std::string note;  // may be empty

    bool operator==(const RuleSource&) const = default;
};

class RuleTable {
public:
    struct Row {
        int number = 0;  // of the line, from 1
        std::vector<std::string> fields;
    };

    // bad_input: no such heading, or a line with another number of fields.
    static Result<RuleTable> read(std::string file, std::string_view text, std::string_view heading);

    const std::vector<Row>& rows() const { return rows_; }
    Error bad(const Row& row, const std::string& what) const;
    Error bad_whole(const std::string& what) const;
    // Four fields from `first` on: rule, as_of, state (certain | uncertain), note.
    Result<RuleSource> source(const Row& row, std::size_t first) const;

private:
    std::string file_;
    std::vector<Row> rows_;
};

// "5330.6" kHz as Hz; at most three decimals, none negative. None if it is not such a number.
std::optional<std::int64_t> hertz_of_khz(std::string_view text);
// A whole number from 0 to 2^31-1.
std::optional<std::int32_t> whole_number(std::string_view text);
// "9.15": a number above 0 with at most three decimals.
std::optional<double> positive_number(std::string_view text);
// Pieces between commas; no piece for "-".
std::vector<std::string> comma_list(std::string_view text);

}  // namespace ladderline::domain
