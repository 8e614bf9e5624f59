#include "node/read_models/pair_steps.hpp"

#include "protocol/circle/bodies.hpp"
#include "store/read_model/seen_words.hpp"

namespace ladderline::node {

using namespace protocol;

Result<PairSteps> pair_steps(store::sqlite::Database& db, const CircleId& circle,
                             const std::optional<MemberId>& without) {
    PairSteps out;
    TRY(db.query(
        "SELECT author.member, author.role, newcomer, mentor, step, day, pairing.log_ref, pairing.seq, pairing.said, "
        "pairing.count, pairing.id FROM pairing JOIN author USING (log_ref) "
        "WHERE pairing.circle = ?1 AND pairing.seq BETWEEN author.seq_min AND author.seq_max",
        [&](const store::sqlite::Row& row) {
            const auto by = row.fixed<MemberId>(0);
            out.said.push_back(
                {by, static_cast<MemberRole>(row.integer(1)) == MemberRole::officer && by != without,
                 PairingBody{row.fixed<MemberId>(2), row.fixed<MemberId>(3), static_cast<PairingStep>(row.integer(4)),
                             Day{static_cast<std::int32_t>(row.integer(5))}}});
            out.words.push_back({row.integer(6),
                                 row.integer(7),
                                 {WallTime{row.integer(8)}, static_cast<std::uint32_t>(row.integer(9))},
                                 row.fixed<EventId>(10)});
        },
        circle));
    // An officer decides about a pair as it is; nobody else moves another's word.
    TRY(store::fill_in_seen(
        db,
        "SELECT s.id, s.log_ref, s.seq FROM pairing AS word CROSS JOIN superseded AS s ON s.id = word.id "
        "WHERE word.circle = ?1",
        circle, out.words, [&](std::size_t later, std::size_t earlier) {
            return out.said[later].by_officer || out.said[later].by == out.said[earlier].by;
        }));
    out.order = order_of(out.words);
    return out;
}

Result<PairWords> words_about_pairs(store::sqlite::Database& db, const CircleId& circle) {
    TRY(const PairSteps steps, pair_steps(db, circle, {}));
    std::map<std::pair<MemberId, MemberId>, std::vector<std::size_t>> by_pair;
    for (const std::size_t at : steps.order) {
        const SaidStep& said = steps.said[at];
        if (said.by_officer || said.by_one_of_them()) by_pair[{said.body.newcomer, said.body.mentor}].push_back(at);
    }
    PairWords out;
    for (const auto& [pair, order] : by_pair) out.emplace(pair, store::last_of_each_log(steps.words, order));
    return out;
}

}  // namespace ladderline::node
