#pragma once
// The logs of one circle as a 32-ary tree over a keyed hash of their ids, for one session.
//
// A log's tag is the first 6 bytes of its keyed hash; the tree's order is that of the tags. A node of depth d holds the
// logs whose tags begin with the same 5d bits. A digest covers all logs of a node; an empty node's is zeros. The key
// comes from the handshake, so nobody can prepare logs that share a tag or a digest; of 20,000 logs two share one by
// chance in one session of a million, which leaves the roots unequal until the next.

#include "protocol/base/bytes.hpp"
#include "protocol/codec/archive.hpp"
#include "protocol/limits.hpp"
#include "protocol/sync/root.hpp"

namespace ladderline::protocol {

struct LogTagTag;
struct HeadTagTag;
struct NodeDigestTag;
struct TreeKeyTag;
using LogTag = FixedBytes<LogTagTag, 6>;
using HeadTag = FixedBytes<HeadTagTag, 6>;  // 48 keyed bits: a chance hit leaves the roots unequal, and is found there
using NodeDigest = FixedBytes<NodeDigestTag, 6>;
using TreeKey = FixedBytes<TreeKeyTag, 32>;

// How far somebody's copy of a log goes, in a session's short form.
struct LogPlace {
    LogTag log;
    std::uint64_t next_seq = 0;
    std::optional<std::uint64_t> fork = std::nullopt;
    HeadTag head;  // of the event before next_seq; zeros at 0

    template <class Archive>
    void serialize(Archive& ar) {
        ar(log);
        serialize_how_far(ar);
    }
    // All but the log's tag.
    template <class Archive>
    void serialize_how_far(Archive& ar) {
        std::uint64_t flagged = next_seq << 1 | (fork ? 1 : 0);
        std::uint64_t seq = fork.value_or(0);
        ar(flagged);
        if ((flagged & 1) != 0) ar(seq);
        ar(head);
        if constexpr (!std::is_same_v<Archive, codec::Writer>) {
            next_seq = flagged >> 1;
            fork = (flagged & 1) != 0 ? std::optional(seq) : std::nullopt;
        }
    }
    bool operator==(const LogPlace&) const = default;
};

// A node's place: a one, then 5 bits a level. The root is 1, its children 32 to 63.
using NodePath = std::uint32_t;

class HeadTree {
public:
    static constexpr std::size_t fanout = 32;
    static constexpr std::size_t leaf_logs_max = 32;  // a node of no more logs is told log by log
    static constexpr NodePath root = 1;

    struct Leaf {
        LogTag tag;
        LogHead head;
    };

    HeadTree() = default;
    HeadTree(const TreeKey& key, std::vector<LogHead> heads);

    // False for a number that names no node.
    static bool is_path(NodePath path);
    static NodePath child(NodePath path, std::size_t index) { return path << 5 | static_cast<NodePath>(index); }
    // A node this deep is told log by log however many logs it has.
    static bool is_deepest(NodePath path) { return path >= NodePath{1} << (5 * depth_max); }

    const std::vector<Leaf>& leaves() const { return leaves_; }
    // Precondition: is_path(path).
    std::span<const Leaf> under(NodePath path) const;
    NodeDigest digest(NodePath path) const;
    const Leaf* find(const LogTag& tag) const;

    LogTag tag_of(const LogId& log) const;
    // Of the event `id` at next_seq - 1; zeros at next_seq 0.
    HeadTag head_tag(const LogId& log, std::uint64_t next_seq, const EventId& id) const;
    LogPlace place_of(const Leaf& leaf) const;

private:
    static constexpr int depth_max = 4;  // 32^4 nodes for 20,000 logs

    TreeKey key_;
    std::vector<Leaf> leaves_;
};

}  // namespace ladderline::protocol
