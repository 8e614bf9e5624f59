#include "node/domain/study/study_shape.hpp"

#include "protocol/base/ensure.hpp"

namespace ladderline::domain {

StudyShape shape_of(const Pool& pool) {
    StudyShape shape;
    shape.group_sizes.reserve(pool.groups.size());
    for (const PoolGroup& group : pool.groups) shape.group_sizes.push_back(static_cast<int>(group.questions.size()));
    shape.questions.reserve(pool.questions.size());
    for (const PoolQuestion& question : pool.questions) shape.questions.push_back({question.group, pool_choices});
    return shape;
}

StudyShape shape_of(std::span<const int> group_sizes) {
    StudyShape shape;
    for (std::size_t group = 0; group < group_sizes.size(); ++group) {
        ENSURE(group_sizes[group] > 0);
        shape.group_sizes.push_back(group_sizes[group]);
        for (int i = 0; i < group_sizes[group]; ++i) shape.questions.push_back({static_cast<int>(group), pool_choices});
    }
    return shape;
}

}  // namespace ladderline::domain
