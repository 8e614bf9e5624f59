#pragma once
// Contacts made and what their authors changed about them, contacts arranged and what became of them.

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

class ContactModel : public store::ReadModel {
public:
    std::string name() const override { return "contact"; }
    std::int64_t version() const override { return 3; }
    std::vector<std::string> tables() const override {
        return {"contact", "contact_change", "meeting", "meeting_outcome"};
    }
    Result<void> reset(store::sqlite::Database& db) override;
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override;
};

}  // namespace ladderline::node
