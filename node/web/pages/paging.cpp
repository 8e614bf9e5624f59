#include "node/web/pages/paging.hpp"

#include "protocol/base/ensure.hpp"

namespace ladderline::node::web {

Paging::Paging(const Request& request, std::size_t all, std::size_t page_lines) : all_(all), page_lines_(page_lines) {
    ENSURE(page_lines > 0);
    const auto from = request.query.number("from").value_or(0);
    if (from <= 0 || all == 0) return;
    const std::size_t wanted = std::min(static_cast<std::size_t>(from), all - 1);
    begin_ = wanted / page_lines * page_lines;
}

}  // namespace ladderline::node::web
