#include "node/web/router.hpp"

#include "node/web/page.hpp"
#include "protocol/base/ensure.hpp"

namespace ladderline::node::web {

namespace {

std::vector<std::string> segments_of(std::string_view path) {
    std::vector<std::string> out;
    while (!path.empty()) {
        path.remove_prefix(1);  // the slash before the segment
        const std::size_t end = std::min(path.find('/'), path.size());
        if (end > 0) out.emplace_back(path.substr(0, end));
        path.remove_prefix(end);
    }
    return out;
}

bool is_parameter(const std::string& segment) {
    return segment.front() == '{';
}

// -1: no match; otherwise the number of parameters used, so that fewer is better.
int parameters_needed(const std::vector<std::string>& pattern, const std::vector<std::string>& path) {
    if (pattern.size() != path.size()) return -1;
    int used = 0;
    for (std::size_t i = 0; i < pattern.size(); ++i) {
        if (is_parameter(pattern[i])) {
            ++used;
        } else if (pattern[i] != path[i]) {
            return -1;
        }
    }
    return used;
}

}  // namespace

void Router::add(Method method, std::string_view pattern, Handler handler) {
    ENSURE(pattern.starts_with('/') && handler);
    std::vector<std::string> segments = segments_of(pattern);
    for (const Route& route : routes_) ENSURE(route.method != method || route.segments != segments);
    routes_.push_back({method, std::move(segments), std::move(handler)});
}

std::vector<Router::Pattern> Router::patterns() const {
    std::vector<Pattern> out;
    for (const Route& route : routes_) {
        std::string text;
        for (const std::string& segment : route.segments) text += "/" + segment;
        out.push_back({route.method, text.empty() ? "/" : std::move(text)});
    }
    return out;
}

Response Router::missing(const Request& request, int status, std::string sentence) const {
    if (missing_) return missing_(request, status, std::move(sentence));
    return sentence_page(status, status == 404 ? "Not here" : "Not this way", sentence);
}

Response Router::answer(const Request& request) const {
    const std::vector<std::string> path = segments_of(request.path);
    const Route* best = nullptr;
    int best_needed = 0;
    bool other_method = false;
    for (const Route& route : routes_) {
        const int needed = parameters_needed(route.segments, path);
        if (needed < 0) continue;
        if (route.method != request.method) {
            other_method = true;
        } else if (best == nullptr || needed < best_needed) {
            best = &route;
            best_needed = needed;
        }
    }
    if (best == nullptr && !other_method) {
        return missing(request, 404,
                       "There is no page at this address; nothing was changed. The links above lead to every page.");
    }
    if (best == nullptr) {
        const bool posted = request.method == Method::post;
        Response out =
            missing(request, 405,
                    posted ? "This page can be looked at but takes no form; nothing was changed. Open it again "
                             "by its link."
                           : "This address only takes a form; nothing was changed. Go back to the page with "
                             "the form and press its button.");
        out.header("Allow", posted ? "GET, HEAD" : "POST");
        return out;
    }
    Request with_params = request;
    for (std::size_t i = 0; i < path.size(); ++i) {
        const std::string& name = best->segments[i];
        if (is_parameter(name)) with_params.params.add(name.substr(1, name.size() - 2), path[i]);
    }
    return best->handler(with_params);
}

}  // namespace ladderline::node::web
