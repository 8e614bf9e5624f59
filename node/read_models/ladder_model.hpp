#pragma once
// What was said about ladder items: ticks, sign-offs, withdrawals, assignments, items set aside. One row a saying;
// what follows from them is node/domain/ladder's business.

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

class LadderModel : public store::ReadModel {
public:
    std::string name() const override { return "ladder"; }
    std::int64_t version() const override { return 2; }
    std::vector<std::string> tables() const override { return {"statement"}; }
    Result<void> reset(store::sqlite::Database& db) override;
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override;
};

}  // namespace ladderline::node
