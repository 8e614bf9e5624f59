#pragma once
// Two published studies that handbooks of survival analysis work with.

#include <vector>

#include "node/domain/review/survival.hpp"

namespace ladderline::test::published {

// Remission of leukaemia, weeks: Freireich et al., Blood 21 (1963).
inline const std::vector<domain::Wait> treated{
    {10, true},  {7, true},   {32, false}, {23, true},  {22, true},  {6, true},   {16, true},
    {34, false}, {32, false}, {25, false}, {11, false}, {20, false}, {19, false}, {6, true},
    {17, false}, {35, false}, {6, true},   {13, true},  {9, false},  {6, false},  {10, false}};
inline const std::vector<domain::Wait> control{{1, true}, {22, true}, {3, true}, {12, true}, {8, true}, {17, true},
                                               {2, true}, {11, true}, {8, true}, {12, true}, {2, true}, {5, true},
                                               {4, true}, {15, true}, {8, true}, {23, true}, {5, true}, {11, true},
                                               {4, true}, {1, true},  {8, true}};
// Maintenance of remission in acute myelogenous leukaemia, weeks: Miller, Survival Analysis (1981).
inline const std::vector<domain::Wait> maintained{{9, true},   {13, true},  {13, false}, {18, true},
                                                  {23, true},  {28, false}, {31, true},  {34, true},
                                                  {45, false}, {48, true},  {161, false}};
inline const std::vector<domain::Wait> not_maintained{{5, true},  {5, true},   {8, true},  {8, true},
                                                      {12, true}, {16, false}, {23, true}, {27, true},
                                                      {30, true}, {33, true},  {43, true}, {45, true}};

}  // namespace ladderline::test::published
