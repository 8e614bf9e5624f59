#pragma once
// Pictures of the figures that a pool's questions speak of. Pools are published as text, so whoever practises adds the
// pictures; they stay in this store's settings ("figure:<element>:<year>:<name>").

#include "node/commands/study.hpp"

namespace ladderline::node {

inline constexpr std::size_t figure_bytes_max = 4U << 20;

struct Figure {
    std::string content_type;  // "image/png", "image/jpeg", "image/gif" or "image/webp"
    Bytes image;
};
// not_found where there is none.
Result<Figure> figure(Context& context, const PoolChoice& pool, std::string_view name);
// Whether the picture that the question speaks of is here; false where it speaks of none.
Result<bool> has_figure(Context& context, const ShownQuestion& question);

// A figure that questions of the pool name.
struct FigureLine {
    std::string name;  // "T-1"
    std::size_t questions = 0;
    bool is_here = false;
};
// By name.
Result<std::vector<FigureLine>> figures(Context& context, const PoolChoice& pool);

// Takes the place of an earlier picture. bad_input: no question names the figure, or the bytes are no picture that a
// browser shows.
Result<std::string> add_figure(Context& context, const PoolChoice& pool, std::string_view name, ByteView image);

}  // namespace ladderline::node
