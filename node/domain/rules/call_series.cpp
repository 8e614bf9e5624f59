// call_series.tsv: "holder<tab>FIRST-LAST FIRST-LAST+ ...". A plus behind a series says that only one source has it.
// The third character of a member is a letter.

#include "node/domain/rules/call_series.hpp"

#include <algorithm>

#include "embedded/rules.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "node/domain/rules/rule_table.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

constexpr std::size_t prefix_length = 3;

bool is_prefix_character(char c) {
    return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

bool is_member(std::string_view text) {
    return text.size() == prefix_length && std::all_of(text.begin(), text.end(), is_prefix_character) &&
           text.back() >= 'A';
}

std::vector<std::string_view> words_of(std::string_view text) {
    std::vector<std::string_view> out;
    for (;;) {
        const std::size_t blank = text.find(' ');
        out.push_back(text.substr(0, blank));
        if (blank == std::string_view::npos) return out;
        text = text.substr(blank + 1);
    }
}

// The first and last member that begin so: of what a call sign shows, the third character may be a digit, which tells
// nothing more than the first two.
struct Reach {
    std::string low;
    std::string high;
};
Reach reach_of(std::string_view prefix) {
    std::string known(prefix.substr(0, prefix_length));
    if (known.size() == prefix_length && known.back() < 'A') known.pop_back();
    Reach out{known, known};
    while (out.low.size() < prefix_length) {
        // Two characters: "K1" is K with a digit, and every K with a letter or digit behind it belongs to K's holder.
        out.low += 'A';
        out.high += 'Z';
    }
    return out;
}

const CallSeries* series_of(std::string_view member) {
    for (const CallSeries& series : shipped_call_series()) {
        if (series.first <= member && member <= series.last) return &series;
    }
    return nullptr;
}

// One letter and a digit, such as K1 or F5: the letter alone tells, where one holder has all of it.
const CallSeries* series_of_letter(char letter) {
    const CallSeries* low = series_of(std::string(1, letter) + "AA");
    const CallSeries* high = series_of(std::string(1, letter) + "ZZ");
    return low != nullptr && low == high ? low : nullptr;
}

const CallSeries* series_for(std::string_view prefix) {
    if (prefix.empty()) return nullptr;
    const bool is_letter = prefix[0] >= 'A';
    const bool digit_next = prefix.size() > 1 && prefix[1] < 'A';
    if (prefix.size() == 1) return is_letter ? series_of_letter(prefix[0]) : nullptr;
    if (is_letter && digit_next) {
        if (const CallSeries* whole = series_of_letter(prefix[0])) return whole;
    }
    const Reach reach = reach_of(prefix);
    const CallSeries* low = series_of(reach.low);
    const CallSeries* high = series_of(reach.high);
    return low != nullptr && low == high ? low : nullptr;
}

}  // namespace

Result<std::vector<CallSeries>> parse_call_series(std::string_view text) {
    TRY(const RuleTable table, RuleTable::read("call_series.tsv", text, "holder\tseries"));
    std::vector<CallSeries> out;
    for (const RuleTable::Row& row : table.rows()) {
        if (row.fields[0].empty()) return table.bad(row, "names no holder");
        for (std::string_view word : words_of(row.fields[1])) {
            CallSeries series{"", "", row.fields[0], word.ends_with('+')};
            if (series.in_one_source) word.remove_suffix(1);
            if (word.size() != 2 * prefix_length + 1 || word[prefix_length] != '-') {
                return table.bad(row, "has a series that is not like AAA-ALZ");
            }
            series.first = word.substr(0, prefix_length);
            series.last = word.substr(prefix_length + 1);
            if (!is_member(series.first) || !is_member(series.last) || series.last < series.first) {
                return table.bad(row, "has a series that is not like AAA-ALZ");
            }
            const bool overlaps = std::any_of(out.begin(), out.end(), [&](const CallSeries& s) {
                return series.first <= s.last && s.first <= series.last;
            });
            if (overlaps) return table.bad(row, "has a series that overlaps another");
            out.push_back(std::move(series));
        }
    }
    std::sort(out.begin(), out.end(), [](const CallSeries& a, const CallSeries& b) { return a.first < b.first; });
    return out;
}

const std::vector<CallSeries>& shipped_call_series() {
    static const std::vector<CallSeries> series = [] {
        auto parsed = parse_call_series(embedded::rules::f_call_series_tsv);
        ENSURE(parsed.has_value());
        return std::move(parsed).value();
    }();
    return series;
}

std::optional<CallHolder> holder_of_call(std::string_view call) {
    const auto split = split_call(call);
    if (!split) return {};
    const std::string& deciding =
        split.value().country_prefix.empty() ? split.value().base : split.value().country_prefix;
    const CallSeries* series = series_for(deciding);
    if (series == nullptr) return {};
    return CallHolder{series->holder, series->first, series->last, series->in_one_source};
}

}  // namespace ladderline::domain
