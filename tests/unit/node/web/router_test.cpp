#include "node/web/router.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

Handler says(std::string words) {
    return [words](const Request& request) { return plain_text(200, words + request.params.get("id")); };
}

Router sample() {
    Router router;
    router.get("/", says("start"));
    router.get("/person/new", says("new"));
    router.get("/person/{id}", says("person "));
    router.get("/person/{id}/bench", says("bench "));
    router.post("/person/{id}", says("saved "));
    router.post("/tick", says("ticked"));
    return router;
}

Response asked(Method method, std::string path) {
    Request request;
    request.method = method;
    request.path = std::move(path);
    return sample().answer(request);
}

}  // namespace

TEST_CASE("A path finds its page, and a parameter its segment") {
    CHECK(asked(Method::get, "/").body == "start");
    CHECK(asked(Method::get, "/person/ab12").body == "person ab12");
    CHECK(asked(Method::get, "/person/ab12/bench").body == "bench ab12");
    CHECK(asked(Method::post, "/person/ab12").body == "saved ab12");
}

TEST_CASE("A literal path wins over a parameter") {
    CHECK(asked(Method::get, "/person/new").body == "new");
}

TEST_CASE("A path that no page has is a 404 with a sentence") {
    for (const char* path : {"/nobody", "/person", "/person/a/b/c", "/PERSON/new"}) {
        CAPTURE(path);
        const Response response = asked(Method::get, path);
        CHECK(response.status == 404);
        CHECK(response.body.find("There is no page at this address") != std::string::npos);
    }
}

TEST_CASE("Looking at an address that takes forms, and the other way round, says so and which way is right") {
    CHECK(asked(Method::get, "/tick").status == 405);
    CHECK(asked(Method::get, "/tick").header_value("Allow") == "POST");
    CHECK(asked(Method::post, "/").status == 405);
    CHECK(asked(Method::post, "/").header_value("Allow") == "GET, HEAD");
}

TEST_CASE("The missing page can be written by the pages themselves") {
    Router router = sample();
    router.on_missing(
        [](const Request&, int status, std::string sentence) { return plain_text(status, "own: " + sentence); });
    Request request;
    request.path = "/nobody";
    CHECK(router.answer(request).status == 404);
    CHECK(router.answer(request).body.starts_with("own: There is no page"));
}
