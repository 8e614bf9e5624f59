#pragma once
// What studying leaves: practice answers and marked mock papers, which stay on a person's own desk, and explanations of
// questions, which stand in the circle where they were given.

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

class DeskModel : public store::ReadModel {
public:
    std::string name() const override { return "desk"; }
    std::int64_t version() const override { return 3; }
    std::vector<std::string> tables() const override { return {"practice", "mock", "explanation"}; }
    Result<void> reset(store::sqlite::Database& db) override;
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override;
};

}  // namespace ladderline::node
