#include "node/commands/study.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "node/domain/study/random.hpp"
#include "store/settings/settings.hpp"
#include "tests/support/node/member_fixture.hpp"
#include "tests/support/node/practice_pool.hpp"

namespace ladderline {
namespace {

using protocol::CircleKind;
using protocol::MemberRole;
using namespace test;

struct Learner {
    SetClock clock;
    MemberNode ana{clock, 1};

    Learner() {
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
    }
    node::Context& context() { return ana.context; }

    node::Answered answer(const node::ShownQuestion& shown, std::optional<std::uint8_t> place) {
        return must(node::answer(context(), {shown.from, shown.id, shown.order, place}));
    }
    // Place of the right choice of a question whose key is A.
    static std::uint8_t right_place(const node::ShownQuestion& shown) {
        return static_cast<std::uint8_t>(shown.order.find('0'));
    }
    void practise(int count) {
        for (int i = 0; i < count; ++i) {
            const auto shown = must(node::next_question(context(), {}));
            answer(shown, right_place(shown));
        }
    }
};

TEST_CASE("without an imported pool the practice items of element 0 are put") {
    Learner l;
    CHECK(must(node::next_question(l.context(), {})).from.element == 0);
}

TEST_CASE("asking for a pool that was not imported says what to do") {
    Learner l;
    const Error error = must_fail(node::next_question(l.context(), {3}));
    CHECK(error.fault() == Fault::not_found);
    CHECK(error.sentence() == "There is no question pool of element 3 here; import the text file of the pool first.");
}

TEST_CASE("an imported pool is counted and becomes the one that is meant") {
    Learner l;
    const auto summary = must(node::import_pool(l.context(), element_2_pool()));
    CHECK(summary.element == 2);
    CHECK(summary.questions == 70);
    CHECK(summary.groups == 35);
    CHECK(summary.withdrawn == 0);
    CHECK(summary.corrected == 0);
    CHECK(summary.which.edition == 2022);
    CHECK(summary.valid_until == day("2026-06-30"));
    CHECK(summary.caution.empty());
    CHECK(must(node::next_question(l.context(), {})).from.element == 2);
}

TEST_CASE("a pool that is cut short is not imported at all") {
    Learner l;
    const std::string text = element_2_pool();
    CHECK(must_fail(node::import_pool(l.context(), text.substr(0, text.size() / 2))).fault() == Fault::bad_input);
    CHECK(must(node::pools(l.context())).size() == 1);
}

TEST_CASE("a pool with a group too few is named as not whole") {
    Learner l;
    std::string text = element_2_pool();
    const auto from = text.find("T7E - ");
    text.erase(from, text.find("~~~end") - from);
    const Error error = must_fail(node::import_pool(l.context(), text));
    CHECK(error.sentence().find("34 groups") != std::string::npos);
}

TEST_CASE("a second import of the same pool keeps what was answered") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(3);
    CHECK(must(node::import_pool(l.context(), element_2_pool())).corrected == 0);
    CHECK(must(node::ready(l.context(), {}, {})).seen == 3);
}

TEST_CASE("a question whose right answer was changed counts as not seen again") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const auto shown = must(node::next_question(l.context(), {}));
    l.answer(shown, Learner::right_place(shown));
    l.clock.pass_minutes(1);
    CHECK(must(node::import_pool(l.context(), element_2_pool(shown.id))).corrected == 1);
    CHECK(must(node::ready(l.context(), {}, {})).seen == 0);
}

TEST_CASE("two pools are kept at once and each has its own history") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(4);
    CHECK(must(node::ready(l.context(), {2}, {})).answered == 4);
    CHECK(must(node::ready(l.context(), {0}, {})).answered == 0);
}

TEST_CASE("the pool answered last is the one that is meant") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const auto shown = must(node::next_question(l.context(), {0}));
    l.answer(shown, 0);
    CHECK(must(node::next_question(l.context(), {})).from.element == 0);
}

TEST_CASE("choices stand in the order that the question names") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const auto shown = must(node::next_question(l.context(), {}));
    const std::array<std::string, 4> texts{"first", "second", "third", "fourth"};
    for (std::size_t place = 0; place < 4; ++place) {
        CHECK(shown.choices[place] == texts[static_cast<std::size_t>(shown.order[place] - '0')]);
    }
}

TEST_CASE("a question shown again in its order is the same question") {
    Learner l;
    const auto shown = must(node::next_question(l.context(), {}));
    const auto again = must(node::question_again(l.context(), {}, shown.id, shown.order));
    CHECK(again.stem == shown.stem);
    CHECK(again.choices == shown.choices);
}

TEST_CASE("the right place is found whatever the order was") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    for (const char* order : {"0123", "3210", "1032", "2301"}) {
        const std::string text = order;
        const auto right = static_cast<std::uint8_t>(text.find('0'));
        const auto answered = must(node::answer(l.context(), {{}, "T1A01", text, right}));
        CHECK(answered.right);
        CHECK(answered.right_place == right);
        CHECK(answered.right_text == "first");
    }
}

TEST_CASE("a wrong answer is told with the right one") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const auto answered = must(node::answer(l.context(), {{}, "T1A01", "0123", std::uint8_t{2}}));
    CHECK_FALSE(answered.right);
    CHECK(answered.right_text == "first");
}

TEST_CASE("not knowing is no right answer even where the right one stands first") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    CHECK_FALSE(must(node::answer(l.context(), {{}, "T1A01", "0123", std::nullopt})).right);
}

TEST_CASE("answers of today are counted, those of yesterday are not") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(2);
    l.clock.pass_days(1);
    must(node::answer(l.context(), {{}, "T7E01", "0123", std::uint8_t{0}}));
    const auto answered = must(node::answer(l.context(), {{}, "T7E02", "0123", std::uint8_t{1}}));
    CHECK(answered.answered_today == 2);
    CHECK(answered.right_today == 1);
}

TEST_CASE("an answer that cannot have been given stores nothing") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const auto before = l.ana.events();
    struct Bad {
        const char* question;
        const char* order;
        std::uint8_t place;
    };
    for (const Bad& bad :
         {Bad{"T1A01", "0122", 0}, Bad{"T1A01", "012", 0}, Bad{"T1A01", "0123", 4}, Bad{"T9Z99", "0123", 0}}) {
        CHECK_FALSE(node::answer(l.context(), {{}, bad.question, bad.order, bad.place}).has_value());
    }
    CHECK(l.ana.events() == before);
}

TEST_CASE("practice answers stay on the desk") {
    Learner l;
    l.practise(1);
    const auto& desk = l.ana.circle(CircleKind::desk);
    std::int64_t elsewhere = -1;
    must(l.ana.db().query(
        "SELECT count(*) FROM practice WHERE circle <> ?1",
        [&](const store::sqlite::Row& row) { elsewhere = row.integer(0); }, desk));
    CHECK(elsewhere == 0);
    CHECK(must(node::ready(l.context(), {}, {})).answered == 1);
}

TEST_CASE("every question is put once before any comes back") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    std::vector<std::string> ids;
    for (int i = 0; i < 70; ++i) {
        const auto shown = must(node::next_question(l.context(), {}));
        ids.push_back(shown.id);
        l.answer(shown, 0);
        l.clock.pass_minutes(1);
    }
    std::sort(ids.begin(), ids.end());
    CHECK(std::unique(ids.begin(), ids.end()) == ids.end());
}

TEST_CASE("few answers are said to tell little") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(19);
    l.clock.pass_days(3);
    CHECK(must(node::ready(l.context(), {}, {})).caution.find("19 answers over 3 days") != std::string::npos);
}

TEST_CASE("twenty answers over three days need no caution while the pool is in force") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(20);
    l.clock.pass_days(3);
    CHECK(must(node::ready(l.context(), {}, {})).caution.empty());
}

TEST_CASE("an exam after the pool's last day is cautioned against") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    CHECK(must(node::ready(l.context(), {}, day("2026-07-01"))).caution.find("ends on 2026-06-30") !=
          std::string::npos);
}

TEST_CASE("more right answers raise the chance to pass") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const double before = must(node::ready(l.context(), {}, {})).pass_chance;
    l.practise(70);
    CHECK(must(node::ready(l.context(), {}, {})).pass_chance > before + 0.5);
}

TEST_CASE("at most five groups are named, those with most to win first") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    const auto state = must(node::ready(l.context(), {}, {}));
    REQUIRE(state.to_win.size() == 5);
    CHECK(std::is_sorted(state.to_win.begin(), state.to_win.end(),
                         [](const auto& a, const auto& b) { return a.gain > b.gain; }));
}

TEST_CASE("a date for 90 % needs three days of history and then a pace") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    CHECK_FALSE(must(node::ready(l.context(), {}, {})).ready_on.has_value());
    for (int i = 0; i < 4; ++i) {
        l.practise(20);
        l.clock.pass_days(1);
    }
    const auto state = must(node::ready(l.context(), {}, {}));
    REQUIRE(state.ready_on.has_value());
    CHECK(*state.ready_on > l.context().today());
    CHECK(state.ready_note.find(to_iso(*state.ready_on)) != std::string::npos);
}

TEST_CASE("two weeks without practice leave no pace to reckon with") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(5);
    l.clock.pass_days(30);
    const auto state = must(node::ready(l.context(), {}, {}));
    CHECK_FALSE(state.ready_on.has_value());
    CHECK(state.ready_note.find("no pace") != std::string::npos);
}

TEST_CASE("the day of the session is read from what was written on the way") {
    Learner l;
    tick_item(l.ana, "02.04", "hall of the school, 2026-03-20 10:00");
    CHECK(must(node::ready(l.context(), {}, {})).exam_day == day("2026-03-20"));
}

TEST_CASE("a session that is over is no exam day to come") {
    Learner l;
    tick_item(l.ana, "02.04", "2026-03-01");
    CHECK_FALSE(must(node::ready(l.context(), {}, {})).exam_day.has_value());
}

TEST_CASE("an exam day asks for a pace, and a past one is refused") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    CHECK(must(node::ready(l.context(), {}, day("2026-04-02"))).pace_needed.has_value());
    CHECK(must_fail(node::ready(l.context(), {}, day("2026-03-01"))).fault() == Fault::bad_input);
}

TEST_CASE("on the day before the exam the question that adds most comes first") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    tick_item(l.ana, "02.04", "2026-03-03");
    CHECK(must(node::next_question(l.context(), {})).reason == domain::PracticeReason::last_day);
}

// One line taken out, doubled or cut, or one sign changed.
std::string damaged(const std::string& text, domain::SplitMix64& generator) {
    const auto at = static_cast<std::size_t>(domain::bounded(generator, text.size()));
    const std::size_t from = text.rfind('\n', at) + 1;
    const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
    std::string out = text;
    switch (domain::bounded(generator, 4)) {
        case 0:
            return out.erase(from, end - from);
        case 1:
            return out.insert(from, text.substr(from, end - from));
        case 2:
            return out.substr(0, at);
        default:
            out[at] = "~ABD.()9Q\n"[domain::bounded(generator, 10)];
            return out;
    }
}

std::string stored_pool(node::Context& context) {
    return must(store::get_text_setting(context.db, "pool:2:2022")).value_or("");
}

TEST_CASE("200 damaged pools are taken in whole or leave everything as it was") {
    Learner l;
    const std::string good = element_2_pool();
    must(node::import_pool(l.context(), good));
    l.practise(3);
    domain::SplitMix64 generator(200);
    int refused = 0;
    for (int n = 0; n < 200; ++n) {
        const std::string text = damaged(good, generator);
        const std::string before = stored_pool(l.context());
        const auto imported = node::import_pool(l.context(), text);
        if (imported) {
            CHECK(stored_pool(l.context()) == text);
            CHECK(imported.value().groups == 35);
            must(node::import_pool(l.context(), good));
            continue;
        }
        refused += 1;
        CAPTURE(imported.error().sentence());
        CHECK(imported.error().sentence().find("nothing was imported") != std::string::npos);
        CHECK(stored_pool(l.context()) == before);
        CHECK(must(node::ready(l.context(), {}, {})).answered == 3);
    }
    CHECK(refused > 100);
}

TEST_CASE("an erratum that leaves the right answer keeps what is known of the question") {
    Learner l;
    must(node::import_pool(l.context(), element_2_pool()));
    l.practise(3);
    l.clock.pass_minutes(1);
    std::string reworded = element_2_pool();
    for (std::size_t at = 0; (at = reworded.find("What does ", at)) != std::string::npos; at += 5) {
        reworded.replace(at, 10, "What would ");
    }
    CHECK(must(node::import_pool(l.context(), reworded)).corrected == 0);
    CHECK(must(node::ready(l.context(), {}, {})).seen == 3);
}

}  // namespace
}  // namespace ladderline
