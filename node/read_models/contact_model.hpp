#pragma once
// Contacts made, contacts arranged and what became of them.

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

class ContactModel : public store::ReadModel {
public:
    std::string name() const override { return "contact"; }
    std::int64_t version() const override { return 2; }
    std::vector<std::string> tables() const override { return {"contact", "meeting", "meeting_outcome"}; }
    Result<void> reset(store::sqlite::Database& db) override;
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override;
};

}  // namespace ladderline::node
