#include "node/domain/review/small_counts.hpp"

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {

std::string fewer_than_five(int n) {
    ENSURE(n >= 0);
    return n < group_min ? "fewer than five" : std::to_string(n);
}

}  // namespace ladderline::domain
