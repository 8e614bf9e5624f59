#include "node/read_models/desk_views.hpp"

namespace ladderline::node {

using namespace protocol;

Result<std::vector<PracticeView>> practice_answers(store::sqlite::Database& db, const CircleId& desk,
                                                   std::string_view pool) {
    std::vector<PracticeView> out;
    TRY(db.query(
        "SELECT question, answer, at FROM practice JOIN author USING (log_ref) WHERE practice.circle = ?1 "
        "AND pool = ?2 AND practice.seq BETWEEN author.seq_min AND author.seq_max ORDER BY at, practice.id",
        [&](const store::sqlite::Row& row) {
            out.push_back({row.text(0), static_cast<Answer>(row.integer(1)), WallTime{row.integer(2)}});
        },
        desk, pool));
    return out;
}

}  // namespace ladderline::node
