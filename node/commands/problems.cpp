#include "node/commands/problems.hpp"

#include <array>

#include "protocol/base/bytes.hpp"

namespace ladderline::node {
namespace {

using Seed = std::array<std::uint8_t, 4>;

ShownProblem problem_of(const Seed& seed) {
    std::uint64_t number = 0;
    for (const std::uint8_t byte : seed) number = number << 8 | byte;
    return {to_base32(ByteView(seed.data(), seed.size())), domain::make_problem(number)};
}

}  // namespace

ShownProblem next_problem(Context& context) {
    Seed seed{};
    context.env.random.fill(seed);
    return problem_of(seed);
}

Result<ShownProblem> problem_again(std::string_view number) {
    const auto raw = from_base32(number);
    Seed seed{};
    if (!raw || raw.value().size() != seed.size()) {
        return Error{Fault::bad_input, "No problem has the number '" + std::string(number) + "'; take the next one."};
    }
    std::copy(raw.value().begin(), raw.value().end(), seed.begin());
    return problem_of(seed);
}

}  // namespace ladderline::node
