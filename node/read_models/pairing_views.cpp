#include "node/read_models/pairing_views.hpp"

#include <algorithm>

#include "node/read_models/pair_steps.hpp"
#include "protocol/event/kinds.hpp"

namespace ladderline::node {
namespace {

using namespace protocol;

// Steps in the order in which they were said; WIRE.md, kind 34.
class PairFold {
public:
    void take(const SaidStep& said) {
        const PairingBody& body = said.body;
        const auto found = pairs_.find({body.newcomer, body.mentor});
        PairingView* pair = found == pairs_.end() ? nullptr : &found->second;
        switch (body.step) {
            case PairingStep::proposed:
                if ((said.by_officer || is_with(body.newcomer, said.by)) && !is_open(pair)) put(body);
                break;
            case PairingStep::agreed:
                agree(said, pair);
                break;
            case PairingStep::declined:
                if (pair == nullptr) break;
                if (said.by_one_of_them() ? is_open(pair) : said.by_officer && pair->step == PairingStep::proposed) {
                    put(body);
                }
                break;
            case PairingStep::ended:
                if (is_open(pair) && (said.by_officer || said.by_one_of_them())) {
                    const bool were_together = pair->step == PairingStep::agreed;
                    put(body);
                    pair->were_together = were_together;
                }
                break;
        }
    }
    std::vector<PairingView> result() const {
        std::vector<PairingView> out;
        for (const auto& [key, pair] : pairs_) out.push_back(pair);
        std::stable_sort(out.begin(), out.end(),
                         [](const PairingView& a, const PairingView& b) { return a.day < b.day; });
        return out;
    }

private:
    static bool is_open(const PairingView* pair) {
        return pair != nullptr && (pair->step == PairingStep::proposed || pair->step == PairingStep::agreed);
    }
    bool is_with(const MemberId& newcomer, const MemberId& mentor) const {
        const auto found = pairs_.find({newcomer, mentor});
        return found != pairs_.end() && found->second.step == PairingStep::agreed;
    }
    void put(const PairingBody& body) {
        pairs_[{body.newcomer, body.mentor}] = {body.newcomer, body.mentor, body.step, body.day};
    }
    void agree(const SaidStep& said, PairingView* pair) {
        const bool is_agreed = pair != nullptr && pair->step == PairingStep::agreed;
        const bool is_asked = pair != nullptr && pair->step == PairingStep::proposed;
        if (is_agreed) return;
        if (!said.by_one_of_them() || !is_asked) {
            if (said.by_officer) put(said.body);
            return;
        }
        pair->newcomer_said_yes = pair->newcomer_said_yes || said.by == said.body.newcomer;
        pair->mentor_said_yes = pair->mentor_said_yes || said.by == said.body.mentor;
        if (pair->newcomer_said_yes && pair->mentor_said_yes) put(said.body);
    }

    std::map<std::pair<MemberId, MemberId>, PairingView> pairs_;
};

bool may_say(const PairingReviewBody& body, const MemberId& by, MemberRole role) {
    switch (body.word) {
        case PairingWord::goes_well:
        case PairingWord::needs_a_talk:
        case PairingWord::let_us_end:
            return by == body.newcomer || by == body.mentor;
        case PairingWord::handed_over:
            return by == body.mentor || role == MemberRole::officer;
        case PairingWord::out_of_reach:
            return role == MemberRole::officer;
    }
    return false;
}

Result<std::vector<PairingView>> folded(store::sqlite::Database& db, const CircleId& circle,
                                        const std::optional<MemberId>& without) {
    TRY(const PairSteps steps, pair_steps(db, circle, without));
    PairFold fold;
    for (const std::size_t at : steps.order) fold.take(steps.said[at]);
    return fold.result();
}

}  // namespace

Result<std::vector<PairingView>> pairings(store::sqlite::Database& db, const CircleId& circle) {
    return folded(db, circle, {});
}

Result<std::vector<PairingView>> pairings_without(store::sqlite::Database& db, const CircleId& circle,
                                                  const MemberId& officer) {
    return folded(db, circle, officer);
}

Result<std::vector<WishView>> pairing_wishes(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<WishView> out;
    TRY(const auto all, shown(db, circle, kind::pairing_wish));
    for (const ShownView& view : all) {
        auto wish = read_payload<PairingWishBody>(view.payload);
        if (wish) out.push_back({view.by, view.id, std::move(*wish)});
    }
    return out;
}

Result<std::vector<PairingWordView>> pairing_words(store::sqlite::Database& db, const CircleId& circle) {
    std::vector<PairingWordView> out;
    TRY(db.query(
        "SELECT author.member, author.role, shown.said, shown.payload FROM shown JOIN author USING (log_ref) "
        "WHERE shown.circle = ?1 AND shown.kind = ?2 AND shown.seq BETWEEN author.seq_min AND author.seq_max "
        "ORDER BY shown.said, shown.count, shown.id",
        [&](const store::sqlite::Row& row) {
            const auto by = row.fixed<MemberId>(0);
            auto body = read_payload<PairingReviewBody>(row.blob(3));
            if (!body || !may_say(*body, by, static_cast<MemberRole>(row.integer(1)))) return;
            out.push_back({by, WallTime{row.integer(2)}, std::move(*body)});
        },
        circle, kind::pairing_review));
    return out;
}

}  // namespace ladderline::node
