// The exposure worksheet as a page.

#include "tests/unit/node/web/pages_cast.hpp"

using namespace ladderline;
using namespace ladderline::test;

TEST_CASE("The worksheet works the usual station out and always shows the cautions") {
    Cast cast;
    // 5 W and no gain at 146.52 MHz, always on, over usual ground: 0.319 m and 0.714 m by the formula of OET
    // Bulletin 65.
    const std::string page =
        cast.newcomers.body("/exposure?mhz=146.52&watt=5&mode=fm&on=10&off=0&loss=0&gain=0&metres=2");
    CHECK(has(page, "at least 0.4 m from the nearest part of the antenna"));
    CHECK(has(page, "at least 0.8 m."));
    CHECK(has(page, "within the limit"));
    CHECK(has(page, "decides nothing: the rules do"));
    CHECK(has(page, "<circle"));
}

TEST_CASE("What is over the limit is said so in capitals") {
    Cast cast;
    const std::string page = cast.newcomers.body("/exposure?mhz=146.52&watt=1500&mode=fm&gain=12&metres=1");
    CHECK(has(page, "OVER THE LIMIT"));
}

TEST_CASE("A figure stands in plain digits, however large or small") {
    Cast cast;
    const std::string page =
        cast.newcomers.body("/exposure?mhz=146.52&watt=1500&mode=fm&on=10&off=0&loss=0&gain=0&metres=5000");
    CHECK(has(page, "1500"));
    for (const char* exponent : {"e+0", "e-0"}) {
        const std::size_t at = page.find(exponent);
        CHECK(page.substr(std::min(at, page.size()), 30) == "");
    }
}

TEST_CASE("A number that cannot be read is named, and the cautions stay") {
    Cast cast;
    const std::string page = cast.newcomers.body("/exposure?watt=plenty");
    CHECK(has(page, "Power at the transmitter, watts PEP: write a number, as 50."));
    CHECK(has(page, "value=\"plenty\""));
    CHECK(has(page, "decides nothing: the rules do"));
}

namespace {

constexpr const char* handheld = "/exposure?mhz=146.52&watt=5&mode=fm&on=10&off=0&loss=0&gain=0&metres=2";

// Worked out, named and kept by the form.
std::string kept(Cast& cast, const std::string& address) {
    PageForm form = cast.newcomers.form(address, "/exposure", "Keep this sheet");
    form.set("keep-name", "handheld");
    form.set("keep-antenna", "rubber whip");
    return cast.newcomers.follow(cast.newcomers.send(form));
}

}  // namespace

TEST_CASE("A kept shortwave station says how near its distances hold") {
    Cast cast;
    kept(cast, "/exposure?mhz=3.6&watt=100&mode=ssb&on=10&off=10&loss=0&gain=2.15&metres=15");
    const std::string page = cast.newcomers.body("/exposure");
    CHECK(has(page, "Nearer than 14 m, a sixth of a wavelength"));
}

TEST_CASE("A sheet is kept by its form and stands in the list with both distances") {
    Cast cast;
    const std::string page = kept(cast, handheld);
    CHECK(has(page, "<h3>handheld</h3>"));
    CHECK(has(page, "rubber whip"));
    CHECK(has(page, "At least 0.4 m for people who know of it, 0.8 m for everybody else."));
    CHECK_FALSE(has(page, "To be looked at again"));
}

TEST_CASE("A noted change says what is otherwise, and working it out again settles it") {
    Cast cast;
    kept(cast, handheld);
    const std::string address =
        "/exposure?mhz=146.52&watt=25&mode=fm&on=10&off=0&loss=0&gain=0&metres=2&keep-name=handheld&"
        "keep-antenna=rubber+whip";
    const PageForm form = cast.newcomers.form(address, "/exposure", "Keep this sheet");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form, "do", "changed"));
    CHECK(has(page, "To be looked at again"));
    CHECK(has(page, "The power was 5 W and is 25 W now."));
    CHECK(has(page, "Work it out again"));
    CHECK_FALSE(has(kept(cast, address), "To be looked at again"));
}

TEST_CASE("What is kept is what stands in the fields when it is pressed, and the word names power and frequency") {
    Cast cast;
    PageForm form = cast.newcomers.form(handheld, "/exposure", "Keep this sheet");
    for (const char* field : {"mhz", "watt", "metres"}) {
        CAPTURE(field);
        CHECK(std::ranges::count(form.typed, field) == 1);  // a field to type in, not a copy from before
    }
    form.set("mhz", "14.2");
    form.set("watt", "100");
    form.set("keep-name", "home");
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form));
    CHECK(has(page, "Worked out for 100 W on 14.2 MHz, with people 2 m away. Kept on your own desk"));
}

TEST_CASE("Before somebody asks, nothing comes out of the examples in the form and nothing can be kept") {
    Cast cast;
    const std::string page = cast.newcomers.body("/exposure");
    CHECK_FALSE(has(page, "What comes out"));
    CHECK_FALSE(has(page, "Keep this sheet"));
    CHECK(has(page, "decides nothing: the rules do"));
}

TEST_CASE("The first button, which Enter presses, works the typed figures out and keeps nothing") {
    Cast cast;
    PageForm form = cast.newcomers.form(handheld, "/exposure", "Work it out");
    REQUIRE_FALSE(form.buttons.empty());
    const auto [name, value] = form.buttons.front();
    form.set("watt", "1500");
    form.set("keep-name", "home");
    const auto events = cast.newcomer.events();
    const std::string page = cast.newcomers.follow(cast.newcomers.send(form, name, value));
    CHECK(has(page, "OVER THE LIMIT"));
    CHECK(has(page, "value=\"home\""));
    CHECK(cast.newcomer.events() == events);
}

TEST_CASE("A figure that was emptied is asked for, and no other is kept in its place") {
    Cast cast;
    PageForm form = cast.newcomers.form(handheld, "/exposure", "Keep this sheet");
    form.set("watt", "");
    form.set("keep-name", "home");
    const auto answer = cast.newcomers.send(form);
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "Power at the transmitter, watts PEP: write a number, as 50."));
    CHECK(has(answer.body, "value=\"home\""));
    CHECK(has(cast.newcomers.body("/exposure"), "No station is kept here yet."));
}

TEST_CASE("A sheet without a name is refused and keeps what was typed") {
    Cast cast;
    PageForm form = cast.newcomers.form(handheld, "/exposure", "Keep this sheet");
    form.set("keep-place", "garden");
    const auto events = cast.newcomer.events();
    const auto answer = cast.newcomers.send(form);
    CHECK(answer.status == 400);
    CHECK(has(answer.body, "Give the station a name"));
    CHECK(has(answer.body, "value=\"garden\""));
    CHECK(cast.newcomer.events() == events);
}

TEST_CASE("A station that is no more leaves the list") {
    Cast cast;
    kept(cast, handheld);
    const auto answer = cast.newcomers.send(cast.newcomers.form("/exposure", "/exposure/forget"));
    CHECK(has(cast.newcomers.follow(answer), "No station is kept here yet."));
}

TEST_CASE("The drawing is to scale: a person of 1.75 m, and circles as wide as the distances") {
    Cast cast;
    // 1500 W and 7 dBi at 14.2 MHz, always on: 5.858 m and 13.098 m by the formula of OET Bulletin 65. The widest
    // circle takes 147.2 units, so a metre takes 11.2.
    const std::string page =
        cast.newcomers.body("/exposure?mhz=14.2&watt=1500&mode=carrier&on=10&off=0&loss=0&gain=7&metres=5&height=10");
    CHECK(has(page, "r=\"147.2\""));
    CHECK(has(page, "r=\"65.8\""));
    CHECK(has(page, "cy=\"-112.4\""));  // ten metres up
    CHECK(has(page, "10 m above the ground"));
    CHECK(has(page, "1.75 m tall"));
    CHECK(has(page, "Limit, mW/cm2"));
}

TEST_CASE("Whoever helps has stations of their own, and the newcomer's are not among them") {
    Cast cast;
    kept(cast, handheld);
    cast.everybody_syncs();
    CHECK(has(cast.mentors.body("/exposure"), "No station is kept here yet."));
}

TEST_CASE("A sheet that is kept over the limit is marked so in the list, and asks for no tick") {
    Cast cast;
    // 47 CFR 1.1310(e), Table 1: 0.2 mW/cm2 at 146.52 MHz for everybody. 50 W reach it 2.26 m away, k EIRP / 4 pi R^2.
    const std::string page = kept(cast, "/exposure?mhz=146.52&watt=50&mode=fm&on=10&off=0&loss=0&gain=0&metres=2");
    CHECK(has(page, "<li>Over the limit at 2 m"));
    CHECK(has(page, "Do not tick 07.12 yet"));
}
