#include "node/commands/state_digests.hpp"

#include <algorithm>

namespace ladderline::node {

Result<std::vector<CircleDigest>> state_digests(Context& context) {
    std::vector<CircleDigest> out;
    TRY(const auto all, circles(context.db));
    for (const CircleView& circle : all) {
        TRY(const store::StateDigest digest, store::state_digest(context.db, context.log, circle.id));
        out.push_back({circle.id, digest});
    }
    std::sort(out.begin(), out.end(), [](const CircleDigest& a, const CircleDigest& b) { return a.circle < b.circle; });
    return out;
}

}  // namespace ladderline::node
