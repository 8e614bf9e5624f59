#pragma once
// Goes through somebody's pages by their links, so that a test is about all pages and not about those that its writer
// thought of.

#include <algorithm>
#include <deque>
#include <functional>
#include <map>
#include <set>

#include "tests/unit/node/web/pages_cast.hpp"

namespace ladderline::test {

inline std::vector<std::string> segments_of(std::string_view path) {
    std::vector<std::string> out;
    for (std::size_t at = 1; at <= path.size();) {
        const std::size_t end = std::min(path.find('/', at), path.size());
        out.emplace_back(path.substr(at, end - at));
        at = end + 1;
    }
    return out;
}

// The pattern that answers an address; empty if none does.
inline std::string route_of(const node::web::Router& router, node::web::Method method, const std::string& address) {
    const auto path = segments_of(address.substr(0, address.find_first_of("?#")));
    std::string best;
    std::size_t best_parameters = 99;
    for (const auto& pattern : router.patterns()) {
        const auto parts = segments_of(pattern.text);
        if (pattern.method != method || parts.size() != path.size()) continue;
        std::size_t parameters = 0;
        bool fits = true;
        for (std::size_t i = 0; i < parts.size(); ++i) {
            const bool is_parameter = parts[i].starts_with('{');
            parameters += is_parameter ? 1 : 0;
            fits = fits && (is_parameter || parts[i] == path[i]);
        }
        if (fits && parameters < best_parameters) {
            best = pattern.text;
            best_parameters = parameters;
        }
    }
    return best;
}

inline std::vector<std::string> links_in(const std::string& page) {
    constexpr std::string_view before = " href=\"/";
    std::vector<std::string> out;
    for (std::size_t at = page.find(before); at != std::string::npos; at = page.find(before, at + 1)) {
        const std::size_t from = at + before.size() - 1;
        std::string link = page_forms::unescaped(page.substr(from, page.find('"', from) - from));
        link.erase(std::min(link.find('#'), link.size()));
        if (!link.starts_with("/static/")) out.push_back(std::move(link));
    }
    return out;
}

// Told of each address that was asked for and what came.
using Look = std::function<void(const std::string& address, const node::web::Response& response)>;

// Addresses of pages that open, from "/" and every literal pattern on; at most `each_max` of one pattern.
inline std::vector<std::string> crawl(const PagesOf& pages, std::size_t each_max, const Look& look = {}) {
    using node::web::Method;
    std::deque<std::string> waiting{"/"};
    for (const auto& pattern : pages.router().patterns()) {
        if (pattern.method == Method::get && pattern.text.find('{') == std::string::npos)
            waiting.push_back(pattern.text);
    }
    std::set<std::string> seen;
    std::map<std::string, std::size_t> count;
    std::vector<std::string> out;
    for (; !waiting.empty(); waiting.pop_front()) {
        const std::string& address = waiting.front();
        const std::string route = route_of(pages.router(), Method::get, address);
        if (route.empty() || !seen.insert(address).second || count[route] >= each_max) continue;
        const node::web::Response response = pages.get(address);
        if (look) look(address, response);
        if (response.status != 200 || !response.content_type.starts_with("text/html")) continue;
        ++count[route];
        out.push_back(address);
        for (std::string& link : links_in(response.body)) waiting.push_back(std::move(link));
    }
    return out;
}

}  // namespace ladderline::test
