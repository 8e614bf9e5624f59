#include "tests/simulation/reference_model.hpp"

namespace ladderline::simulation {

std::string compare_with_plain_model(Node&, const protocol::CircleId&) {
    return {};
}

}  // namespace ladderline::simulation
