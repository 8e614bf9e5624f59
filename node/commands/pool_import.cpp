// Question pools: taken in, listed, and what was answered of them.

#include <algorithm>
#include <map>
#include <tuple>

#include "node/commands/known_dates.hpp"
#include "node/commands/study_pools.hpp"
#include "node/read_models/desk_views.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::Pool;
using domain::PoolQuestion;

const std::string& right_choice(const PoolQuestion& question) {
    return question.choices[static_cast<std::size_t>(question.key)];
}

// Questions whose right answer became another one, so that an answer to the old text says nothing about the new. One
// that the old text lacks counts too, since it may be another one under an id of long ago.
std::vector<Correction> changes(const Pool& before, const Pool& after, WallTime now) {
    std::vector<Correction> out;
    for (const PoolQuestion& question : after.questions) {
        const auto index = before.find(question.id);
        if (index && right_choice(before.questions[static_cast<std::size_t>(*index)]) == right_choice(question)) {
            continue;
        }
        out.push_back({question.id, now});
    }
    return out;
}

// Questions of other editions that this one has word for word under whatever number, the order of their choices aside.
class SameWords {
public:
    explicit SameWords(const Pool& pool) {
        for (std::size_t i = 0; i < pool.questions.size(); ++i) {
            places_.emplace(words_of(pool.questions[i]), static_cast<int>(i));
        }
    }

    std::optional<int> find(const PoolQuestion& question) const {
        const auto found = places_.find(words_of(question));
        return found == places_.end() ? std::nullopt : std::optional(found->second);
    }

private:
    using Words = std::tuple<std::string, std::string, std::array<std::string, domain::pool_choices>, std::string>;

    static Words words_of(const PoolQuestion& question) {
        auto choices = question.choices;
        std::sort(choices.begin(), choices.end());
        return {question.stem, right_choice(question), std::move(choices), question.figure};
    }

    std::map<Words, int> places_;
};

std::size_t carried_over(const SameWords& words, const std::vector<StudyPool>& editions, const StudyPool& study) {
    std::vector<bool> carried(study.pool.questions.size(), false);
    for (const StudyPool& other : editions) {
        if (other.edition() == study.edition()) continue;
        for (const PoolQuestion& question : other.pool.questions) {
            if (const auto place = words.find(question)) carried[static_cast<std::size_t>(*place)] = true;
        }
    }
    return static_cast<std::size_t>(std::count(carried.begin(), carried.end(), true));
}

PoolSummary summary_of(const StudyPool& study, Day today) {
    const Pool& pool = study.pool;
    PoolSummary out;
    out.which = study.choice();
    out.element = pool.element;
    out.title = pool.title;
    out.edition = pool.edition;
    out.questions = pool.questions.size();
    out.groups = pool.groups.size();
    out.withdrawn = pool.withdrawn.size();
    out.valid_from = pool.valid_from;
    out.valid_until = pool.valid_until;
    out.caution = out_of_force(pool, today);
    return out;
}

domain::StudyAnswer record_of(int question, const PracticeView& answer) {
    domain::Outcome outcome = domain::Outcome::dont_know;
    if (answer.answer == Answer::right) outcome = domain::Outcome::right;
    if (answer.answer == Answer::wrong) outcome = domain::Outcome::wrong;
    return {question, in_days(answer.at), outcome};
}

}  // namespace

Result<std::vector<domain::StudyAnswer>> study_records(Context& context, const StudyPool& study) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const auto corrected, corrections_of(context, study));
    std::vector<domain::StudyAnswer> out;
    for (const Correction& correction : corrected) {
        const auto question = study.pool.find(correction.question);
        if (question) out.push_back({*question, in_days(correction.at), domain::Outcome::corrected});
    }
    TRY(const auto answers, practice_answers(context.db, desk.id, study.name()));
    for (const PracticeView& answer : answers) {
        if (const auto question = study.pool.find(answer.question)) out.push_back(record_of(*question, answer));
    }
    TRY(const auto editions, editions_of(context, study.pool.element));
    if (editions.size() > 1) {
        const SameWords words(study.pool);
        for (const StudyPool& other : editions) {
            if (other.edition() == study.edition()) continue;
            TRY(const auto others, practice_answers(context.db, desk.id, other.name()));
            for (const PracticeView& answer : others) {
                const auto index = other.pool.find(answer.question);
                if (!index) continue;
                const auto same = words.find(other.pool.questions[static_cast<std::size_t>(*index)]);
                if (same) out.push_back(record_of(*same, answer));
            }
        }
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const domain::StudyAnswer& a, const domain::StudyAnswer& b) { return a.day < b.day; });
    return out;
}

Result<PoolSummary> import_pool(Context& context, std::string_view text) {
    TRY(own_circle(context, CircleKind::desk));
    TRY(Pool read, domain::read_pool(text));
    TRY(const StudyPool study, checked_pool(std::move(read)));
    TRY(const auto editions, editions_of(context, study.pool.element));
    TRY(auto all, corrections_of(context, study));
    std::vector<Correction> changed;
    for (const StudyPool& before : editions) {
        if (before.edition() == study.edition()) changed = changes(before.pool, study.pool, context.now());
    }
    for (const Correction& one : changed) {
        std::erase_if(all, [&](const Correction& old) { return old.question == one.question; });
        all.push_back(one);
    }
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(keep_pool(context, study, text));
    TRY(keep_corrections(context, study, all));
    TRY(remember_pool(context, study.pool.element));
    TRY(tx.commit());
    PoolSummary out = summary_of(study, context.today());
    out.corrected = changed.size();
    out.carried_over = carried_over(SameWords(study.pool), editions, study);
    return out;
}

Result<std::vector<PoolSummary>> pools(Context& context) {
    std::vector<PoolSummary> out;
    for (const int element : domain::elements_in(own_rule_book())) {
        TRY(const auto editions, editions_of(context, element));
        for (const StudyPool& study : editions) out.push_back(summary_of(study, context.today()));
        if (editions.size() < 2) continue;
        TRY(const StudyPool chosen, chosen_pool(context, {element}));
        for (PoolSummary& one : out) {
            if (one.element == element) one.counts = one.which.edition == chosen.edition();
        }
    }
    return out;
}

}  // namespace ladderline::node
