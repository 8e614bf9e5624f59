#pragma once
// Problems to work out, made from formulas. Nothing is kept of them: they belong to no pool.

#include "node/commands/context.hpp"
#include "node/domain/study/problems.hpp"

namespace ladderline::node {

struct ShownProblem {
    std::string number;  // from which it is made again, "4X7T2QK"
    domain::Problem problem;
};
ShownProblem next_problem(Context& context);
// bad_input: no problem has that number.
Result<ShownProblem> problem_again(std::string_view number);

}  // namespace ladderline::node
