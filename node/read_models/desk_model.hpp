#pragma once
// What stays on a person's own desk: practice answers.

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

class DeskModel : public store::ReadModel {
public:
    std::string name() const override { return "desk"; }
    std::int64_t version() const override { return 2; }
    std::vector<std::string> tables() const override { return {"practice"}; }
    Result<void> reset(store::sqlite::Database& db) override;
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override;
};

}  // namespace ladderline::node
