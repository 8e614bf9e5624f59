#pragma once
// What members show their circles: cards, the twelve-field rows of newcomers, pairings, questions, touches, known
// dates, what they show of their study, and what they wish for a pairing and say about it.
// Registers keep every write; the newest that no other write supersedes stands (order: hybrid time, then id). Beside
// them stands what a log shows last of each kind, with the story of a newcomer's rows and the rows as they stood at the
// end of every fourth week (row_looks.hpp), so that a big club's pages need not read every write: good for a log whose
// writes came in order of their times (`plain`) and count from first to last.

#include "store/read_model/read_model.hpp"

namespace ladderline::node {

class ClubModel : public store::ReadModel {
public:
    std::string name() const override { return "club"; }
    std::int64_t version() const override { return 8; }
    std::vector<std::string> tables() const override {
        return {"shown", "shown_latest", "row_look", "pairing", "touch"};
    }
    Result<void> reset(store::sqlite::Database& db) override;
    Result<void> apply(store::sqlite::Database& db, const store::OpenedEvent& event) override;
};

}  // namespace ladderline::node
