#pragma once
// A long list page by page, with links that work without scripts: "?from=200". Paper and export have the whole list.

#include <algorithm>
#include <span>
#include <vector>

#include "node/web/html.hpp"
#include "node/web/request.hpp"

namespace ladderline::node::web {

class Paging {
public:
    // Of `all` lines, `page_lines` (> 0) a page; begins where the request's "from" says, with whole pages.
    Paging(const Request& request, std::size_t all, std::size_t page_lines);

    std::size_t begin() const { return begin_; }
    std::size_t end() const { return std::min(all_, begin_ + page_lines_); }
    template <class T>
    std::span<T> part(std::vector<T>& list) const {
        return std::span<T>(list).subspan(begin(), end() - begin());
    }
    template <class T>
    std::span<const T> part(const std::vector<T>& list) const {
        return std::span<const T>(list).subspan(begin(), end() - begin());
    }
    // "1 to 200 of 734" with links to the pages before and after; empty where one page holds all.
    // `to(from)`: the address of the page that begins with line `from`.
    template <class To>
    Html links(To to) const {
        if (all_ <= page_lines_) return Html();
        Html ways;
        if (begin_ > 0) ways.add(" <a href=\"{}\">The {} before</a>", to(begin_ - page_lines_), page_lines_);
        const std::size_t left = all_ - end();
        if (left > 0) ways.add(" <a href=\"{}\">The next {}</a>", to(end()), std::min(left, page_lines_));
        return html("<p>{} to {} of {}.{}</p>", begin() + 1, end(), all_, ways);
    }

private:
    std::size_t all_;
    std::size_t page_lines_;
    std::size_t begin_ = 0;
};

}  // namespace ladderline::node::web
