#pragma once
// Which function answers which path. A pattern is a literal path ("/way") or has whole segments as parameters
// ("/person/{id}"); a literal wins over a parameter.

#include <string>
#include <string_view>
#include <vector>

#include "node/web/request.hpp"

namespace ladderline::node::web {

class Router {
public:
    // Writes the page for 404 and 405; the sentence is ready to show.
    using MissingPage = std::function<Response(const Request&, int status, std::string sentence)>;

    // The same pattern twice for one method is our own bug and ends the process.
    void get(std::string_view pattern, Handler handler) { add(Method::get, pattern, std::move(handler)); }
    void post(std::string_view pattern, Handler handler) { add(Method::post, pattern, std::move(handler)); }
    void on_missing(MissingPage page) { missing_ = std::move(page); }

    Response answer(const Request& request) const;

    // Everything that is answered, as it was added.
    struct Pattern {
        Method method;
        std::string text;
    };
    std::vector<Pattern> patterns() const;

private:
    struct Route {
        Method method;
        std::vector<std::string> segments;  // "{id}" stands for any one segment
        Handler handler;
    };

    void add(Method method, std::string_view pattern, Handler handler);
    Response missing(const Request& request, int status, std::string sentence) const;

    std::vector<Route> routes_;
    MissingPage missing_;
};

}  // namespace ladderline::node::web
