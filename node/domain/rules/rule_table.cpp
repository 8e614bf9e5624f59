#include "node/domain/rules/rule_table.hpp"

#include <algorithm>
#include <charconv>

#include "node/domain/rules/table_text.hpp"

namespace ladderline::domain {
namespace {

constexpr std::size_t decimals_max = 3;
constexpr std::size_t digits_max = 12;

bool all_digits(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// A decimal number times a thousand.
std::optional<std::int64_t> thousandths(std::string_view text) {
    const std::size_t point = text.find('.');
    const std::string_view whole = text.substr(0, point);
    const std::string_view part = point == std::string_view::npos ? std::string_view("0") : text.substr(point + 1);
    if (!all_digits(whole) || whole.size() > digits_max || !all_digits(part) || part.size() > decimals_max) return {};
    std::string digits(whole);
    digits += part;
    digits.append(decimals_max - part.size(), '0');
    std::int64_t value = 0;
    std::from_chars(digits.data(), digits.data() + digits.size(), value);
    return value;
}

}  // namespace

Result<RuleTable> RuleTable::read(std::string file, std::string_view text, std::string_view heading) {
    RuleTable out;
    out.file_ = std::move(file);
    const std::size_t columns = tab_fields(heading).size();
    bool headed = false;
    for (const NumberedLine& line : numbered_lines(text)) {
        if (line.text.starts_with("#")) continue;
        Row row{line.number, {}};
        for (const std::string_view field : tab_fields(line.text)) row.fields.emplace_back(field);
        if (!headed) {
            if (line.text != heading) return out.bad(row, "is not the heading of this table");
            headed = true;
            continue;
        }
        if (row.fields.size() != columns) return out.bad(row, "has another number of fields than the heading");
        out.rows_.push_back(std::move(row));
    }
    if (!headed) return out.bad_whole("has no heading");
    return out;
}

Error RuleTable::bad(const Row& row, const std::string& what) const {
    return {Fault::bad_input,
            "Line " + std::to_string(row.number) + " of " + file_ + " " + what + "; none of it is used."};
}

Error RuleTable::bad_whole(const std::string& what) const {
    return {Fault::bad_input, "The table " + file_ + " " + what + "; none of it is used."};
}

Result<RuleSource> RuleTable::source(const Row& row, std::size_t first) const {
    RuleSource out;
    out.rule = row.fields[first];
    if (out.rule.empty()) return bad(row, "names no rule");
    const auto as_of = parse_day(row.fields[first + 1]);
    if (!as_of) return bad(row, "needs a day in 'as_of', as 2026-02-13");
    out.as_of = as_of.value();
    const std::string& state = row.fields[first + 2];
    if (state != "certain" && state != "uncertain") return bad(row, "must say certain or uncertain");
    out.certain = state == "certain";
    out.note = row.fields[first + 3];
    return out;
}

std::optional<std::int64_t> hertz_of_khz(std::string_view text) {
    return thousandths(text);
}

std::optional<std::int32_t> whole_number(std::string_view text) {
    if (!all_digits(text) || text.size() > digits_max) return {};
    std::int32_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{}) return {};
    return value;
}

std::optional<double> positive_number(std::string_view text) {
    const auto value = thousandths(text);
    if (!value || *value == 0) return {};
    return static_cast<double>(*value) / 1000.0;
}

std::vector<std::string> comma_list(std::string_view text) {
    std::vector<std::string> out;
    if (text == "-") return out;
    for (;;) {
        const std::size_t comma = text.find(',');
        out.emplace_back(text.substr(0, comma));
        if (comma == std::string_view::npos) return out;
        text = text.substr(comma + 1);
    }
}

}  // namespace ladderline::domain
