#include "node/read_models/desk_views.hpp"

#include <algorithm>

namespace ladderline::node {

using namespace protocol;

Result<std::vector<PracticeView>> practice_answers(store::sqlite::Database& db, const CircleId& desk,
                                                   std::string_view pool) {
    std::vector<PracticeView> out;
    TRY(db.query(
        "SELECT question, answer, at FROM practice JOIN author USING (log_ref) WHERE practice.circle = ?1 "
        "AND pool = ?2 AND practice.seq BETWEEN author.seq_min AND author.seq_max ORDER BY at, practice.id, part",
        [&](const store::sqlite::Row& row) {
            out.push_back({row.text(0), static_cast<Answer>(row.integer(1)), WallTime{row.integer(2)}});
        },
        desk, pool));
    return out;
}

Result<std::vector<MockView>> mock_papers(store::sqlite::Database& db, const CircleId& desk) {
    std::vector<MockView> out;
    TRY(db.query(
        "SELECT mock.id, mock.pool, paper, mock.at, minutes, mark, pass_ppm, points_hundredths, points_low, "
        "points_high, count(part), coalesce(sum(answer = 1), 0) FROM mock JOIN author USING (log_ref) "
        "LEFT JOIN practice ON practice.log_ref = mock.log_ref AND practice.seq = mock.seq WHERE mock.circle = ?1 "
        "AND mock.seq BETWEEN author.seq_min AND author.seq_max GROUP BY mock.log_ref, mock.seq "
        "ORDER BY mock.at, mock.id",
        [&](const store::sqlite::Row& row) {
            MockView one{row.fixed<EventId>(0), row.text(1), row.text(2), WallTime{row.integer(3)}, {}, 0, {}, 0, 0};
            if (!row.is_null(4)) one.minutes = row.integer(4);
            one.mark = row.integer(5);
            one.foretold = {static_cast<std::uint32_t>(row.integer(6)), static_cast<std::uint32_t>(row.integer(7)),
                            static_cast<std::uint16_t>(row.integer(8)), static_cast<std::uint16_t>(row.integer(9))};
            one.of = row.integer(10);
            one.right = row.integer(11);
            out.push_back(std::move(one));
        },
        desk));
    return out;
}

Result<std::vector<MockAnswer>> mock_answers(store::sqlite::Database& db, const EventId& paper) {
    std::vector<MockAnswer> out;
    TRY(db.query(
        "SELECT question, answer, shown, place FROM practice WHERE id = ?1 ORDER BY part",
        [&](const store::sqlite::Row& row) {
            out.push_back({row.text(0), static_cast<Answer>(row.integer(1)), row.text(2),
                           static_cast<std::uint8_t>(row.integer(3))});
        },
        paper));
    return out;
}

Result<std::vector<ExplanationView>> explanations_of(store::sqlite::Database& db, std::string_view pool,
                                                     std::string_view question) {
    std::vector<ExplanationView> out;
    TRY(db.query(
        "SELECT explanation.circle, author.member, explanation.text, explanation.said FROM explanation "
        "JOIN author USING (log_ref) WHERE pool = ?1 AND question = ?2 "
        "AND explanation.seq BETWEEN author.seq_min AND author.seq_max "
        "ORDER BY explanation.said DESC, explanation.count DESC, explanation.id DESC",
        [&](const store::sqlite::Row& row) {
            out.push_back({row.fixed<CircleId>(0), row.fixed<MemberId>(1), row.text(2), WallTime{row.integer(3)}});
        },
        pool, question));
    std::vector<ExplanationView> latest;
    for (ExplanationView& one : out) {
        const bool older = std::any_of(latest.begin(), latest.end(), [&](const ExplanationView& newer) {
            return newer.circle == one.circle && newer.by == one.by;
        });
        if (!older) latest.push_back(std::move(one));
    }
    std::erase_if(latest, [](const ExplanationView& one) { return one.text.empty(); });
    return latest;
}

}  // namespace ladderline::node
