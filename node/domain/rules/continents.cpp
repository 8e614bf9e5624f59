// continents.tsv: "holder<tab>NAME<tab>EU" or "start<tab>EA8<tab>AF".

#include "node/domain/rules/continents.hpp"

#include <algorithm>
#include <array>
#include <set>

#include "embedded/rules.hpp"
#include "node/domain/rules/call_series.hpp"
#include "node/domain/rules/call_sign.hpp"
#include "node/domain/rules/rule_table.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::domain {
namespace {

struct Named {
    std::string_view letters;
    std::string_view name;
};
constexpr std::array<Named, 7> names{{{"AF", "Africa"},
                                      {"AN", "Antarctica"},
                                      {"AS", "Asia"},
                                      {"EU", "Europe"},
                                      {"NA", "North America"},
                                      {"OC", "Oceania"},
                                      {"SA", "South America"}}};

const ContinentTable::Line* line_of(const std::vector<ContinentTable::Line>& lines, std::string_view name) {
    const auto found = std::find_if(lines.begin(), lines.end(), [&](const auto& line) { return line.name == name; });
    return found == lines.end() ? nullptr : &*found;
}

}  // namespace

std::string_view continent_name(std::string_view continent) {
    const auto found = std::find_if(names.begin(), names.end(), [&](const Named& n) { return n.letters == continent; });
    return found == names.end() ? std::string_view{} : found->name;
}

Result<ContinentTable> parse_continents(std::string_view text) {
    TRY(const RuleTable table, RuleTable::read("continents.tsv", text, "what\tname\tcontinent"));
    ContinentTable out;
    std::set<std::string> seen;
    for (const RuleTable::Row& row : table.rows()) {
        const std::string& what = row.fields[0];
        if (what != "holder" && what != "start") return table.bad(row, "'" + what + "' is neither holder nor start");
        const ContinentTable::Line line{row.fields[1], row.fields[2]};
        if (line.name.empty() || !seen.insert(what + " " + line.name).second) {
            return table.bad(row, "'" + line.name + "' stands in it twice or is empty");
        }
        if (line.continent != "?" && continent_name(line.continent).empty()) {
            return table.bad(row, "'" + line.continent + "' is no continent");
        }
        (what == "holder" ? out.holders : out.starts).push_back(line);
    }
    return out;
}

const ContinentTable& shipped_continents() {
    static const ContinentTable table = [] {
        auto parsed = parse_continents(embedded::rules::f_continents_tsv);
        ENSURE(parsed.has_value());
        return std::move(parsed).value();
    }();
    return table;
}

std::optional<std::string> country_of_call(std::string_view call) {
    const auto holder = holder_of_call(call);
    if (!holder || line_of(shipped_continents().holders, holder->holder) == nullptr) return std::nullopt;
    return holder->holder;
}

std::optional<std::string> continent_of_call(std::string_view call) {
    const auto country = country_of_call(call);
    const auto split = split_call(call);
    if (!country || !split) return std::nullopt;
    const std::string& start = split.value().country_prefix.empty() ? split.value().base : split.value().country_prefix;
    const ContinentTable::Line* best = nullptr;
    for (const ContinentTable::Line& line : shipped_continents().starts) {
        if (start.starts_with(line.name) && (best == nullptr || line.name.size() > best->name.size())) best = &line;
    }
    if (best == nullptr) best = line_of(shipped_continents().holders, *country);
    if (best->continent == "?") return std::nullopt;
    return best->continent;
}

}  // namespace ladderline::domain
