#include "node/web/pages/pool_address.hpp"

#include <charconv>

namespace ladderline::node::web {

std::string pool_word(const PoolChoice& pool) {
    if (!pool.element) return {};
    return std::to_string(*pool.element) + (pool.edition ? "-" + std::to_string(*pool.edition) : "");
}

PoolChoice pool_asked(const Fields& fields) {
    constexpr int element_max = 99;
    const std::string word = fields.text("pool");
    PoolChoice out;
    int element = 0;
    int edition = 0;
    const char* end = word.data() + word.size();
    const auto first = std::from_chars(word.data(), end, element);
    if (first.ec != std::errc() || element < 0 || element > element_max) return out;
    out.element = element;
    if (first.ptr == end || *first.ptr != '-') return out;
    const auto second = std::from_chars(first.ptr + 1, end, edition);
    if (second.ec == std::errc() && second.ptr == end) out.edition = edition;
    return out;
}

Html figure_picture(const PoolChoice& pool, std::string_view name) {
    return html("<img class=\"figure\" src=\"{}\" alt=\"Figure {}\">",
                url("/practise/figure?pool={}&name={}", pool_word(pool), name), name);
}

}  // namespace ladderline::node::web
