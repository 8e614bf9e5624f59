#include "node/domain/ladder/record.hpp"

#include <algorithm>
#include <array>
#include <set>
#include <tuple>

#include "node/domain/ladder/ticks.hpp"

namespace ladderline::domain {
namespace {

Mark mark_of(const Statement& s) {
    return {s.id, s.author, s.role, s.level, s.day, s.said, s.text, s.count};
}

bool later(const Mark& a, const Mark& b) {
    return std::tie(a.said, a.count, a.id) > std::tie(b.said, b.count, b.id);
}

// In the order in which they count, each id once.
std::vector<const Statement*> in_order(std::span<const Statement> statements) {
    std::vector<const Statement*> out;
    out.reserve(statements.size());
    for (const Statement& s : statements) out.push_back(&s);
    std::sort(out.begin(), out.end(), [](auto* a, auto* b) { return counts_before(*a, *b); });
    const auto same = [](auto* a, auto* b) { return a->id == b->id; };
    out.erase(std::unique(out.begin(), out.end(), same), out.end());
    return out;
}

class Fold {
public:
    explicit Fold(const std::vector<const Statement*>& ordered) {
        for (const Statement* w : ordered) {
            if (w->kind != StatementKind::withdraw) continue;
            for (const Statement* s : ordered) {
                const bool own = s->kind == StatementKind::sign && s->id == w->about && s->author == w->author;
                if (!own) continue;
                withdrawn_.insert(s->id);
                state_.withdrawal = mark_of(*w);
            }
        }
        for (const Statement* s : ordered) take(*s);
    }

    ItemState result() && {
        if (!ticks_.empty()) state_.tick = ticks_.back();
        for (const Mark& mark : state_.signatures) {
            if (!state_.signature || mark.level > state_.signature->level) state_.signature = mark;
        }
        state_.phase = phase();
        return std::move(state_);
    }

    std::vector<Mark> ticks() && { return std::move(ticks_); }

private:
    void take(const Statement& s) {
        const Mark mark = mark_of(s);
        switch (s.kind) {
            case StatementKind::tick:
                ticks_.push_back(mark);
                state_.set_aside.reset();
                break;
            case StatementKind::untick:
                std::erase_if(ticks_, [&](const Mark& tick) { return tick.author == s.author; });
                break;
            case StatementKind::sign:
                if (withdrawn_.contains(s.id)) break;
                // Whoever signed before it was done again had not heard that it was opened again.
                if (is_undone()) break;
                state_.signatures.push_back(mark);
                state_.set_aside.reset();
                break;
            case StatementKind::withdraw:
                break;
            case StatementKind::assign:
                state_.assigned = mark;
                break;
            case StatementKind::skip:
            case StatementKind::rest:
                state_.set_aside = mark;
                skipped_ = s.kind == StatementKind::skip;
                break;
            case StatementKind::reopen:
                // What is set aside is only taken up again; what was said about it before stands.
                if (state_.set_aside) {
                    state_.set_aside.reset();
                    break;
                }
                state_.reopening = mark;
                ticks_.clear();
                state_.signatures.clear();
                break;
        }
    }

    bool is_undone() const { return state_.reopening && ticks_.empty(); }

    Phase phase() const {
        const auto& [withdrawal, reopening] = std::tie(state_.withdrawal, state_.reopening);
        if (state_.set_aside) return skipped_ ? Phase::skipped : Phase::resting;
        if (state_.signature) return Phase::is_signed;
        if (state_.tick) return withdrawal && later(*withdrawal, *state_.tick) ? Phase::withdrawn : Phase::ticked;
        if (withdrawal && !(reopening && later(*reopening, *withdrawal))) return Phase::withdrawn;
        return reopening ? Phase::reopened : Phase::open;
    }

    ItemState state_;
    std::vector<Mark> ticks_;
    std::set<StatementId> withdrawn_;
    bool skipped_ = false;
};

}  // namespace

std::string_view to_word(Role role) {
    constexpr std::array<std::string_view, 5> words{"newcomer", "mentor", "guardian", "second adult", "officer"};
    return words[static_cast<std::size_t>(role)];
}

std::string_view to_word(Level level) {
    constexpr std::array<std::string_view, 5> words{"", "seen", "with help", "alone", "taught it"};
    return words[static_cast<std::size_t>(level)];
}

std::string_view to_word(Phase phase) {
    constexpr std::array<std::string_view, 7> words{"open",      "ticked",  "signed", "withdrawn",
                                                    "re-opened", "resting", "skipped"};
    return words[static_cast<std::size_t>(phase)];
}

Result<Level> parse_level(std::string_view text) {
    for (const Level level : {Level::seen, Level::with_help, Level::alone, Level::taught_it}) {
        const char digit = static_cast<char>('0' + static_cast<int>(level));
        if (text == to_word(level) || text == std::string_view(&digit, 1)) return level;
    }
    return Error{Fault::bad_input,
                 "'" + std::string(text) + "' is not a level; write 1 seen, 2 with help, 3 alone or 4 taught it."};
}

bool counts_before(const Statement& a, const Statement& b) {
    return std::tie(a.said, a.count, a.id) < std::tie(b.said, b.count, b.id);
}

bool ItemState::needs_doing() const {
    return phase == Phase::open || phase == Phase::withdrawn || phase == Phase::reopened;
}

std::optional<Day> ItemState::reached_on() const {
    if (signature) return signature->day;
    if (tick) return tick->day;
    return {};
}

bool ItemState::confirmed_by_another(const PersonId& owner) const {
    return std::any_of(signatures.begin(), signatures.end(), [&](const Mark& mark) {
        return mark.author != owner && !(tick && tick->author == mark.author);
    });
}

ItemState derive(std::span<const Statement> statements) {
    return Fold(in_order(statements)).result();
}

std::vector<Mark> standing_ticks(std::span<const Statement> statements) {
    return Fold(in_order(statements)).ticks();
}

States derive_all(std::span<const Statement> statements) {
    std::map<ItemId, std::vector<Statement>> by_item;
    for (const Statement& s : statements) by_item[s.item].push_back(s);
    States states;
    for (const auto& [id, own] : by_item) states.emplace(id, derive(own));
    return states;
}

const ItemState& state_of(const States& states, ItemId id) {
    static const ItemState nothing_said;
    const auto at = states.find(id);
    return at != states.end() ? at->second : nothing_said;
}

}  // namespace ladderline::domain
