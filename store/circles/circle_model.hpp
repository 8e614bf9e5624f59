#pragma once
// Members, devices and cuts of every circle, as tables; folded anew from all control events of a circle at the end of a
// step in which one arrived. Column `removed` of a member is 0 while present, 1 if somebody removed them, 2 if they
// left. Revoked devices stand in no table. A circle stands in table `circle` once its founding event is here. Table
// `standing_key` names the keys that the founding and the changes of key with effect brought: `is_current` is 1 for the
// one that is written under, `since` is what the clock of whoever brought it said. Other models store what anyone said;
// table `author` says what of each log counts and is to be shown, and as whose word:
//
//     SELECT ... FROM statement JOIN author USING (log_ref)
//     WHERE statement.seq BETWEEN author.seq_min AND author.seq_max

#include <optional>

#include "protocol/circle/state.hpp"
#include "store/read_model/read_model.hpp"

namespace ladderline::store {

class CircleModel : public ReadModel {
public:
    std::string name() const override { return "circle"; }
    std::int64_t version() const override { return 5; }
    std::vector<std::string> tables() const override {
        return {"control_event", "member", "device", "author", "standing_key"};
    }
    Result<void> reset(sqlite::Database& db) override;
    Result<void> apply(sqlite::Database& db, const OpenedEvent& event) override;
    Result<void> settle(sqlite::Database& db, const protocol::CircleId& circle, bool new_log) override;

    // The state that these tables were written from. not_found if the circle is unknown here.
    static Result<protocol::CircleState> state_of(sqlite::Database& db, const protocol::CircleId& circle);
    // When the key that is written under came, as the clock of its author said.
    static Result<WallTime> epoch_since(sqlite::Database& db, const protocol::CircleId& circle,
                                        const protocol::CircleState& state);

private:
    // Circles with control events since they were folded last. After a step that failed it may name one too many.
    std::set<protocol::CircleId> changed_;
};

}  // namespace ladderline::store
