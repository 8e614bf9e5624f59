// The contrary act beside the word after a deed.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;
using node::web::Response;

namespace {

bool is_undo(const PageForm& form) {
    return has(form.words, "Undo");
}

// The form of the button in the word after that deed; a REQUIRE if it is not there.
PageForm undo_on(const std::string& page) {
    const auto forms = forms_of(page.substr(0, page.find("</section>", page.find("<h2>Done</h2>"))) + "</main>");
    REQUIRE_FALSE(forms.empty());
    REQUIRE(is_undo(forms.front()));
    return forms.front();
}

std::string do_to_item(Cast& cast, const std::string& item, const std::string& deed) {
    return cast.newcomers.follow(cast.newcomers.post("/way/" + item, {{"do", deed}, {"back", "item"}}));
}

domain::Phase phase(Cast& cast, const std::string& item) {
    return cast.state(item, cast.newcomer).phase;
}

}  // namespace

TEST_CASE("A tick, a skip, a rest and an opening are undone by the button beside the word") {
    using domain::Phase;
    Cast cast;
    struct Case {
        const char* deed;
        Phase before;
        Phase after;
    };
    // In this order: each finds what the one before has left.
    const Case cases[] = {{"tick", Phase::open, Phase::ticked},
                          {"skip", Phase::open, Phase::skipped},
                          {"rest", Phase::open, Phase::resting}};
    for (const Case& c : cases) {
        CAPTURE(c.deed);
        const std::string page = do_to_item(cast, "01.02", c.deed);
        CHECK(phase(cast, "01.02") == c.after);
        CHECK(has(cast.newcomers.follow(cast.newcomers.send(undo_on(page))), "<h2>Done</h2>"));
        CHECK(cast.state("01.02", cast.newcomer).needs_doing());
    }
    do_to_item(cast, "01.02", "skip");
    const std::string opened = do_to_item(cast, "01.02", "reopen");
    cast.newcomers.send(undo_on(opened));
    CHECK(phase(cast, "01.02") == Phase::skipped);
}

TEST_CASE("The button beside a rest brings a ticked item back with its tick") {
    Cast cast;
    tick_item(cast.newcomer, "01.17", "the words of before");
    const std::string page = do_to_item(cast, "01.17", "rest");
    cast.newcomers.send(undo_on(page));
    CHECK(phase(cast, "01.17") == domain::Phase::ticked);
}

TEST_CASE("A skip of a safety item taken back by its button asks for nothing to be looked at again") {
    Cast cast;
    const std::string page = do_to_item(cast, "07.13", "skip");
    cast.newcomers.send(undo_on(page));
    CHECK(phase(cast, "07.13") == domain::Phase::open);
}

TEST_CASE("A tick that was taken back comes back with its day and its words") {
    Cast cast;
    tick_item(cast.newcomer, "01.17", "the words of before");
    const domain::Mark before = *cast.state("01.17", cast.newcomer).tick;
    cast.clock.pass_days(2);
    const std::string page = do_to_item(cast, "01.17", "undo");
    REQUIRE_FALSE(cast.state("01.17", cast.newcomer).tick.has_value());
    cast.newcomers.send(undo_on(page));
    const auto after = cast.state("01.17", cast.newcomer).tick;
    REQUIRE(after.has_value());
    CHECK(after->day == before.day);
    CHECK(after->text == "the words of before");
}

TEST_CASE("A signature is taken back by the button, with a reason that the newcomer sees") {
    Cast cast;
    tick_item(cast.newcomer, "01.18");
    cast.everybody_syncs();
    const PageForm sign = cast.mentors.form(cast.bench(), cast.bench() + "/sign", "");
    const std::string page = cast.mentors.follow(cast.mentors.send(sign));
    CHECK_FALSE(cast.state("01.18", cast.mentor).signatures.empty());
    cast.mentors.send(undo_on(page));
    cast.everybody_syncs();
    CHECK(phase(cast, "01.18") == domain::Phase::withdrawn);
    CHECK(has(cast.newcomers.body("/way/01.18"), "signed by mistake"));
}

TEST_CASE("A card is put back as it was, whole") {
    Cast cast;
    cast.set_zone(cast.newcomer, "America/New_York");
    PageForm form = cast.newcomers.form("/card", "/card");
    form.set("card-times", "Tue 18:00-21:00, Sat 09:00-12:00");
    form.set("card-topics", "antennas, Morse");
    form.set("card-room", "3");
    form.set("card-resting", "yes");
    cast.newcomers.send(form);
    const protocol::CardBody before = must(node::own_card(cast.newcomer.context));
    PageForm other = cast.newcomers.form("/card", "/card");
    for (const char* field : {"card-times", "card-topics", "card-zone"}) other.set(field, "");
    other.set("card-room", "0");
    std::erase_if(other.values, [](const auto& value) { return value.first == "card-resting"; });
    const std::string page = cast.newcomers.follow(cast.newcomers.send(other));
    REQUIRE_FALSE(must(node::own_card(cast.newcomer.context)).resting);
    cast.newcomers.send(undo_on(page));
    const protocol::CardBody after = must(node::own_card(cast.newcomer.context));
    CHECK(after.windows.size() == before.windows.size());
    CHECK(after.zone == before.zone);
    CHECK(after.topics == before.topics);
    CHECK(after.room == before.room);
    CHECK(after.resting == before.resting);
}

TEST_CASE("Resting and a note for oneself are undone by the button") {
    Cast cast;
    const std::string rested = cast.newcomers.follow(cast.newcomers.post("/rest", {{"rest", "yes"}}));
    cast.newcomers.send(undo_on(rested));
    CHECK_FALSE(must(node::own_card(cast.newcomer.context)).resting);
    const Response noted = cast.newcomers.post("/pairing/not-with", {{"form", "apart"}, {"apart-who", "Marten"}});
    const std::string page = cast.newcomers.follow(noted);
    CHECK(has(page, "Forget the note about Marten"));
    cast.newcomers.send(undo_on(page));
    CHECK_FALSE(has(cast.newcomers.body("/pairing"), "Forget the note about Marten"));
}

TEST_CASE("The button is offered for ten minutes, and not where one act cannot bring back what was") {
    Cast cast;
    const Response answer = cast.newcomers.post("/way/01.02", {{"do", "tick"}, {"back", "item"}});
    const std::string address = answer.header_value("Location");
    CHECK(has(cast.newcomers.body(address), ">Undo</button>"));
    cast.clock.pass_minutes(10);
    CHECK_FALSE(has(cast.newcomers.body(address), ">Undo</button>"));
    CHECK(has(cast.newcomers.body(address), "<h2>Done</h2>"));
    // An item that rests and is skipped would come back without its rest.
    do_to_item(cast, "01.02", "rest");
    CHECK_FALSE(has(do_to_item(cast, "01.02", "skip"), ">Undo</button>"));
}
