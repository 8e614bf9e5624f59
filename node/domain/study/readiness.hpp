#pragma once
// The chance to pass on a given day, and what one more showing of a question would add to it.
//
// The drawn question of a group is uniform on the group and draws are independent, so given the learner's common
// factors the points are exactly Poisson-binomial over the groups; the common factors are averaged over.

#include <array>
#include <span>
#include <vector>

#include "node/domain/study/memory.hpp"

namespace ladderline::domain {

struct Readiness {
    double pass_chance = 0;
    double points_expected = 0;
    int points_low = 0;               // least number of points whose cumulated chance reaches 5 %
    int points_high = 0;              // and 95 %
    std::vector<double> mass;         // chance of exactly 0, 1, ... points
    std::vector<double> group_means;  // mean chance of a right answer in each group
};

// An examination of one question from each group of the memory's shape; `mark` right answers pass.
Readiness readiness(const StudyMemory& memory, int mark, double exam_day);
double pass_chance(const StudyMemory& memory, int mark, double exam_day);

// What one showing of each question on showing_day, result not known, adds to the chance to pass on exam_day. Exact:
// only one group's chance changes, and the chance to pass is linear in it. Index = question.
std::vector<double> showing_gains(const StudyMemory& memory, int mark, double showing_day, double exam_day);

}  // namespace ladderline::domain
