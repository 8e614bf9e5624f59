#include "protocol/sync/head_tree.hpp"

#include <algorithm>
#include <bit>

#include "protocol/crypto/hash.hpp"

namespace ladderline::protocol {
namespace {

struct WideTag;
using Wide = FixedBytes<WideTag, 16>;

// One keyed hash, cut; `what` keeps the uses apart.
template <class Short>
Short keyed(const TreeKey& key, std::uint8_t what, std::initializer_list<ByteView> parts) {
    Bytes joined{what};
    for (const ByteView part : parts) joined.insert(joined.end(), part.begin(), part.end());
    Wide wide;
    blake2b(wide.mutable_view(), {ByteView(joined)}, key.view());
    return Short::from(wide.view().first(Short::size));
}

std::array<std::uint8_t, 8> as_number(std::uint64_t value) {
    std::array<std::uint8_t, 8> out{};
    for (std::size_t i = 0; i < out.size(); ++i) out[i] = static_cast<std::uint8_t>(value >> (8 * i));
    return out;
}

std::uint64_t first_bits(const LogTag& tag) {
    std::uint64_t out = 0;
    for (const std::uint8_t b : tag.data) out = out << 8 | b;
    return out;
}

int depth_of(NodePath path) {
    return (std::bit_width(path) - 1) / 5;
}

}  // namespace

HeadTree::HeadTree(const TreeKey& key, std::vector<LogHead> heads) : key_(key) {
    leaves_.reserve(heads.size());
    for (LogHead& head : heads) leaves_.push_back({tag_of(head.log), std::move(head)});
    std::sort(leaves_.begin(), leaves_.end(), [](const Leaf& a, const Leaf& b) { return a.tag < b.tag; });
}

bool HeadTree::is_path(NodePath path) {
    return path != 0 && (std::bit_width(path) - 1) % 5 == 0 && depth_of(path) <= depth_max;
}

std::span<const HeadTree::Leaf> HeadTree::under(NodePath path) const {
    const int depth = depth_of(path);
    if (depth == 0) return leaves_;
    const int rest = 8 * static_cast<int>(LogTag::size) - 5 * depth;
    const std::uint64_t prefix = path ^ (NodePath{1} << (5 * depth));
    const auto at = [&](const Leaf& leaf) { return first_bits(leaf.tag) >> rest; };
    const auto first =
        std::partition_point(leaves_.begin(), leaves_.end(), [&](const Leaf& leaf) { return at(leaf) < prefix; });
    const auto last = std::partition_point(first, leaves_.end(), [&](const Leaf& leaf) { return at(leaf) == prefix; });
    return {first, last};
}

NodeDigest HeadTree::digest(NodePath path) const {
    const auto leaves = under(path);
    if (leaves.empty()) return {};
    codec::Writer ar;
    for (const Leaf& leaf : leaves) ar(leaf.head);
    const Bytes listed = ar.take();
    return keyed<NodeDigest>(key_, 1, {listed});
}

const HeadTree::Leaf* HeadTree::find(const LogTag& tag) const {
    const auto at =
        std::partition_point(leaves_.begin(), leaves_.end(), [&](const Leaf& leaf) { return leaf.tag < tag; });
    return at != leaves_.end() && at->tag == tag ? &*at : nullptr;
}

LogTag HeadTree::tag_of(const LogId& log) const {
    return keyed<LogTag>(key_, 2, {log.view()});
}

HeadTag HeadTree::head_tag(const LogId& log, std::uint64_t next_seq, const EventId& id) const {
    if (next_seq == 0) return {};
    const auto number = as_number(next_seq);
    return keyed<HeadTag>(key_, 3, {log.view(), number, id.view()});
}

LogPlace HeadTree::place_of(const Leaf& leaf) const {
    const LogHead& head = leaf.head;
    return {leaf.tag, head.next_seq, head.fork, head_tag(head.log, head.next_seq, head.head)};
}

}  // namespace ladderline::protocol
