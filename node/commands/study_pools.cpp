#include "node/commands/study_pools.hpp"

#include <algorithm>

#include "embedded/practice.hpp"
#include "node/domain/ladder/gates.hpp"
#include "node/domain/study/mock_exam.hpp"
#include "node/read_models/desk_views.hpp"
#include "store/settings/settings.hpp"
#include "store/sqlite/transaction.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::Pool;
using domain::PoolQuestion;

constexpr std::string_view last_pool_setting = "pool_last";
constexpr int practice_element = 0;

std::string pool_setting(int element) {
    return "pool:" + std::to_string(element);
}
std::string corrections_setting(int element) {
    return "pool_corrections:" + std::to_string(element);
}

// From this moment on, what was known of the question before is void.
struct Correction {
    std::string question;
    WallTime at;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::call_bytes_max>(question), at);
    }
};

Result<std::vector<Correction>> corrections(Context& context, int element) {
    TRY(const auto stored, store::get_setting(context.db, corrections_setting(element)));
    if (!stored) return std::vector<Correction>();
    return codec::decode<std::vector<Correction>>(*stored);
}

// The text of the element's pool; none if it was not imported and does not come with the program.
Result<std::optional<std::string>> pool_text(Context& context, int element) {
    TRY(auto stored, store::get_text_setting(context.db, pool_setting(element)));
    if (!stored && element == practice_element) {
        std::string all;
        for (const embedded::practice::File& file : embedded::practice::all) all += file.text;
        return std::optional(std::move(all));
    }
    return stored;
}

Result<StudyPool> checked(Pool pool) {
    const auto syllabus = domain::syllabus_of(pool.element);
    if (!syllabus) {
        return Error{Fault::bad_input, "This pool is for element " + std::to_string(pool.element) +
                                           ", which no examination has; nothing was imported."};
    }
    TRY(domain::fits(pool, *syllabus));
    return StudyPool{std::move(pool), *syllabus};
}

Result<std::optional<StudyPool>> find_pool(Context& context, int element) {
    TRY(const auto text, pool_text(context, element));
    if (!text) return std::optional<StudyPool>();
    TRY(Pool pool, domain::read_pool(*text));
    TRY(StudyPool out, checked(std::move(pool)));
    return std::optional(std::move(out));
}

bool is_same_question(const PoolQuestion& a, const PoolQuestion& b) {
    return a.key == b.key && a.stem == b.stem && a.choices == b.choices && a.figure == b.figure;
}

const std::string& right_choice(const PoolQuestion& question) {
    return question.choices[static_cast<std::size_t>(question.key)];
}

// Questions that an answer to the old text says nothing about: within one edition those whose right answer became
// another one; of another edition every one that reads otherwise, since numbers are given anew there. One that the old
// text lacks counts too, since it may be another one under an id of long ago.
std::vector<Correction> changes(const Pool& before, const Pool& after, WallTime now) {
    const bool same_edition = before.first_year == after.first_year && before.last_year == after.last_year;
    std::vector<Correction> out;
    for (const PoolQuestion& question : after.questions) {
        const auto index = before.find(question.id);
        if (index) {
            const PoolQuestion& old = before.questions[static_cast<std::size_t>(*index)];
            if (same_edition ? right_choice(old) == right_choice(question) : is_same_question(old, question)) continue;
        }
        out.push_back({question.id, now});
    }
    return out;
}

PoolSummary summary_of(const StudyPool& study, Day today) {
    const Pool& pool = study.pool;
    PoolSummary out;
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

}  // namespace

std::string out_of_force(const Pool& pool, Day day) {
    const Day first = pool.valid_from.value_or(day);
    const Day last = pool.valid_until.value_or(day);
    const auto in_force = domain::pool_in_force(first, last, day);
    return in_force ? std::string() : in_force.error().sentence();
}

std::string to_digits(const ChoiceOrder& order) {
    std::string out;
    for (const std::uint8_t place : order) out += static_cast<char>('0' + place);
    return out;
}

Result<ChoiceOrder> parse_order(std::string_view digits) {
    std::string sorted(digits);
    std::sort(sorted.begin(), sorted.end());
    if (sorted != "0123") {
        return Error{Fault::bad_input,
                     "The order of the choices is not one that was shown; ask for the question again."};
    }
    ChoiceOrder out{};
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = static_cast<std::uint8_t>(digits[i] - '0');
    return out;
}

ShownQuestion shown_as(const StudyPool& study, const PoolQuestion& question, const ChoiceOrder& order) {
    const domain::PoolGroup& group = study.pool.groups[static_cast<std::size_t>(question.group)];
    ShownQuestion out;
    out.element = study.pool.element;
    out.pool = study.pool.title;
    out.id = question.id;
    out.group = group.id;
    out.group_title = group.title;
    out.stem = question.stem;
    out.figure = question.figure;
    for (std::size_t place = 0; place < order.size(); ++place) out.choices[place] = question.choices[order[place]];
    out.order = to_digits(order);
    return out;
}

Result<void> remember_pool(Context& context, int element) {
    return store::put_text_setting(context.db, last_pool_setting, std::to_string(element));
}

Result<StudyPool> chosen_pool(Context& context, const PoolChoice& choice) {
    int element = practice_element;
    if (choice.element) {
        element = *choice.element;
    } else {
        TRY(const auto last, store::get_text_setting(context.db, last_pool_setting));
        for (const domain::Syllabus& syllabus : domain::syllabi) {
            if (last && *last == std::to_string(syllabus.element)) element = syllabus.element;
        }
    }
    TRY(auto found, find_pool(context, element));
    if (found) return std::move(*found);
    return Error{Fault::not_found, "There is no question pool of element " + std::to_string(element) +
                                       " here; import the text file of the pool first."};
}

Result<std::vector<domain::StudyAnswer>> study_records(Context& context, const StudyPool& study) {
    TRY(const CircleView desk, own_circle(context, CircleKind::desk));
    TRY(const auto answers, practice_answers(context.db, desk.id, study.name()));
    TRY(const auto corrected, corrections(context, study.pool.element));
    std::vector<domain::StudyAnswer> out;
    for (const Correction& correction : corrected) {
        const auto question = study.pool.find(correction.question);
        if (question) out.push_back({*question, in_days(correction.at), domain::Outcome::corrected});
    }
    for (const PracticeView& answer : answers) {
        const auto question = study.pool.find(answer.question);
        if (!question) continue;
        domain::Outcome outcome = domain::Outcome::dont_know;
        if (answer.answer == Answer::right) outcome = domain::Outcome::right;
        if (answer.answer == Answer::wrong) outcome = domain::Outcome::wrong;
        out.push_back({*question, in_days(answer.at), outcome});
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const domain::StudyAnswer& a, const domain::StudyAnswer& b) { return a.day < b.day; });
    return out;
}

Result<PoolSummary> import_pool(Context& context, std::string_view text) {
    TRY(own_circle(context, CircleKind::desk));
    TRY(Pool read, domain::read_pool(text));
    TRY(const StudyPool study, checked(std::move(read)));
    const int element = study.pool.element;
    TRY(const auto before, find_pool(context, element));
    TRY(auto all, corrections(context, element));
    std::vector<Correction> changed;
    if (before) changed = changes(before->pool, study.pool, context.now());
    for (const Correction& one : changed) {
        std::erase_if(all, [&](const Correction& old) { return old.question == one.question; });
        all.push_back(one);
    }
    TRY(store::sqlite::Transaction tx, store::sqlite::Transaction::begin(context.db));
    TRY(store::put_text_setting(context.db, pool_setting(element), text));
    TRY(store::put_setting(context.db, corrections_setting(element), codec::encode(all)));
    TRY(remember_pool(context, element));
    TRY(tx.commit());
    PoolSummary out = summary_of(study, context.today());
    out.corrected = changed.size();
    return out;
}

Result<std::vector<PoolSummary>> pools(Context& context) {
    std::vector<PoolSummary> out;
    for (const domain::Syllabus& syllabus : domain::syllabi) {
        TRY(const auto found, find_pool(context, syllabus.element));
        if (found) out.push_back(summary_of(*found, context.today()));
    }
    return out;
}

}  // namespace ladderline::node
