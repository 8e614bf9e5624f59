#include "node/commands/study_pools.hpp"

#include <algorithm>

#include "embedded/practice.hpp"
#include "node/commands/known_dates.hpp"
#include "node/domain/ladder/gates.hpp"
#include "node/domain/study/edition_choice.hpp"
#include "node/domain/study/mock_exam.hpp"
#include "store/settings/settings.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;
using domain::Pool;

constexpr std::string_view last_pool_setting = "pool_last";
constexpr int practice_element = domain::practice_syllabus.element;

std::string pool_setting(int element) {
    return "pool:" + std::to_string(element) + ":";
}
std::string corrections_setting(const StudyPool& study) {
    return "pool_corrections:" + std::to_string(study.pool.element) + ":" + std::to_string(study.edition());
}

std::string shipped_practice_text() {
    std::string all;
    for (const embedded::practice::File& file : embedded::practice::all) all += file.text;
    return all;
}

domain::EditionSpan span_of(const StudyPool& study) {
    return {study.pool.valid_from, study.pool.valid_until};
}

std::size_t edition_on(const std::vector<StudyPool>& all, Day day) {
    std::vector<domain::EditionSpan> spans;
    std::transform(all.begin(), all.end(), std::back_inserter(spans), span_of);
    return domain::edition_for(spans, day);
}

Result<std::size_t> edition_meant(Context& context, const std::vector<StudyPool>& all, std::optional<int> edition) {
    if (!edition) {
        if (all.size() == 1) return std::size_t{0};
        return edition_on(all, booked_exam(context).value_or(context.today()));
    }
    const auto found =
        std::find_if(all.begin(), all.end(), [&](const StudyPool& s) { return s.edition() == *edition; });
    if (found != all.end()) return static_cast<std::size_t>(found - all.begin());
    std::string known;
    for (const StudyPool& s : all) known += (known.empty() ? "" : ", ") + std::to_string(s.edition());
    return Error{Fault::not_found, "There is no edition of element " + std::to_string(all.front().pool.element) +
                                       " here that begins in " + std::to_string(*edition) + "; those here begin in " +
                                       known + "."};
}

}  // namespace

std::string StudyPool::name() const {
    std::string out = std::to_string(pool.element);
    if (pool.first_year && pool.last_year) {
        out += " " + std::to_string(*pool.first_year) + "-" + std::to_string(*pool.last_year);
    }
    return out;
}

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

ShownQuestion shown_as(const StudyPool& study, const domain::PoolQuestion& question, const ChoiceOrder& order) {
    const domain::PoolGroup& group = study.pool.groups[static_cast<std::size_t>(question.group)];
    ShownQuestion out;
    out.from = study.choice();
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

Result<StudyPool> checked_pool(Pool pool) {
    const auto syllabus = domain::syllabus_in(own_rule_book(), pool.element);
    if (!syllabus) {
        return Error{Fault::bad_input, "This pool is for element " + std::to_string(pool.element) +
                                           ", which no examination has; nothing was imported."};
    }
    TRY(domain::fits(pool, *syllabus));
    return StudyPool{std::move(pool), *syllabus};
}

Result<std::vector<StudyPool>> editions_of(Context& context, int element) {
    std::vector<std::string> texts;
    TRY(const auto names, store::setting_names(context.db, pool_setting(element)));
    for (const std::string& name : names) {
        TRY(auto text, store::get_text_setting(context.db, name));
        if (text) texts.push_back(std::move(*text));
    }
    if (texts.empty() && element == practice_element) texts.push_back(shipped_practice_text());
    std::vector<StudyPool> out;
    for (const std::string& text : texts) {
        TRY(Pool pool, domain::read_pool(text));
        TRY(StudyPool study, checked_pool(std::move(pool)));
        out.push_back(std::move(study));
    }
    std::sort(out.begin(), out.end(), [](const StudyPool& a, const StudyPool& b) { return a.edition() < b.edition(); });
    return out;
}

Result<StudyPool> chosen_pool(Context& context, const PoolChoice& choice) {
    int element = practice_element;
    if (choice.element) {
        element = *choice.element;
    } else {
        TRY(const auto last, store::get_text_setting(context.db, last_pool_setting));
        for (const int known : domain::elements_in(own_rule_book())) {
            if (last && *last == std::to_string(known)) element = known;
        }
    }
    TRY(auto all, editions_of(context, element));
    if (all.empty()) {
        return Error{Fault::not_found, "There is no question pool of element " + std::to_string(element) +
                                           " here; import the text file of the pool first."};
    }
    TRY(const std::size_t index, edition_meant(context, all, choice.edition));
    return std::move(all[index]);
}

std::optional<Day> pool_last_day(Context& context, const domain::ExamFacts& booked) {
    if (!booked.dates.exam_booked) return std::nullopt;
    for (const int element : domain::elements_in(own_rule_book())) {
        if (std::to_string(element) != booked.booked_element) continue;
        const auto all = editions_of(context, element);
        if (!all || all.value().empty()) return std::nullopt;
        return all.value()[edition_on(all.value(), *booked.dates.exam_booked)].pool.valid_until;
    }
    return std::nullopt;
}

Result<PoolChoice> pool_meant(Context& context, const PoolChoice& choice) {
    TRY(const StudyPool study, chosen_pool(context, choice));
    return study.choice();
}

Result<void> keep_pool(Context& context, const StudyPool& study, std::string_view text) {
    return store::put_text_setting(context.db, pool_setting(study.pool.element) + std::to_string(study.edition()),
                                   text);
}

Result<std::vector<Correction>> corrections_of(Context& context, const StudyPool& study) {
    TRY(const auto stored, store::get_setting(context.db, corrections_setting(study)));
    if (!stored) return std::vector<Correction>();
    return codec::decode<std::vector<Correction>>(*stored);
}

Result<void> keep_corrections(Context& context, const StudyPool& study, const std::vector<Correction>& all) {
    return store::put_setting(context.db, corrections_setting(study), codec::encode(all));
}

}  // namespace ladderline::node
