#include "node/commands/editions.hpp"

#include <algorithm>

namespace ladderline::node {
namespace {

template <class Lines>
void count(RuleBookDates& out, const Lines& lines) {
    for (const auto& line : lines) {
        const domain::RuleSource& source = line.source;
        if (out.lines == 0) out.oldest = out.newest = source.as_of;
        out.oldest = std::min(out.oldest, source.as_of);
        out.newest = std::max(out.newest, source.as_of);
        ++out.lines;
        out.uncertain += source.certain ? 0U : 1U;
    }
}

void add(std::vector<AskedFor>& out, const WayView& way, bool own) {
    AskedFor line{way.owner.id, way.owner.name, own, {}, {}};
    for (const auto& [id, state] : way.states) {
        if (!state.assigned) continue;
        line.latest = std::max(line.latest.value_or(state.assigned->day), state.assigned->day);
        if (state.needs_doing()) line.items.push_back(id);
    }
    if (!line.items.empty()) out.push_back(std::move(line));
}

}  // namespace

Result<std::vector<RuleBookDates>> rule_book_dates() {
    std::vector<RuleBookDates> out;
    for (const std::string& country : domain::shipped_countries()) {
        TRY(const domain::RuleBook* book, domain::shipped_rule_book(country));
        RuleBookDates line;
        line.country = country;
        line.name = book->fact("name").value;
        count(line, book->facts);
        count(line, book->classes);
        count(line, book->exams);
        count(line, book->credits);
        count(line, book->advice);
        count(line, book->privileges);
        out.push_back(std::move(line));
    }
    return out;
}

Result<std::vector<AskedFor>> asked_for(Context& context) {
    std::vector<AskedFor> out;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        if (circle.kind != protocol::CircleKind::path || circle.founder != context.me.id()) continue;
        TRY(const WayView own, way_of(context, circle));
        add(out, own, true);
    }
    TRY(const auto others, ways_of_others(context));
    for (const WayView& one : others) add(out, one, false);
    return out;
}

}  // namespace ladderline::node
