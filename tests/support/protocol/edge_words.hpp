#pragma once
// One word of every kind that members say, with values at the edges of what decodes.

#include "protocol/courier/bodies.hpp"
#include "protocol/event/checked_body.hpp"
#include "protocol/event/kinds.hpp"
#include "protocol/event/pairing_bodies.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"
#include "tests/support/protocol/edge_value.hpp"

namespace ladderline::test {

struct EdgeWord {
    std::uint16_t kind = 0;
    Bytes payload;
};

using EdgeMaker = Bytes (*)(SeededRandom& random, const Subjects& subjects);

template <class T>
Bytes edge_payload(SeededRandom& random, const Subjects& subjects) {
    Bytes payload = protocol::codec::encode(edge_value<T>(random, subjects));
    ENSURE(protocol::codec::decode<T>(payload).has_value());  // what does not decode tries nothing
    return payload;
}

inline std::vector<EdgeWord> edge_words(SeededRandom& random, const Subjects& subjects) {
    using namespace protocol;
    static constexpr std::pair<std::uint16_t, EdgeMaker> makers[] = {
        {kind::card, edge_payload<CardBody>},
        {kind::club_row, edge_payload<ClubRowBody>},
        {kind::pairing, edge_payload<PairingBody>},
        {kind::courier, edge_payload<CourierBody>},
        {kind::assign, edge_payload<AssignBody>},
        {kind::tick, edge_payload<TickBody>},
        {kind::sign, edge_payload<SignBody>},
        {kind::withdraw, edge_payload<WithdrawBody>},
        {kind::set_aside, edge_payload<SetAsideBody>},
        {kind::meet, edge_payload<MeetBody>},
        {kind::meet_outcome, edge_payload<MeetOutcomeBody>},
        {kind::contact, edge_payload<ContactBody>},
        {kind::note, edge_payload<NoteBody>},
        {kind::ask, edge_payload<AskBody>},
        {kind::touch, edge_payload<TouchBody>},
        {kind::known_date, edge_payload<KnownDateBody>},
        {kind::amend_contact, edge_payload<AmendContactBody>},
        {kind::strike_contact, edge_payload<StrikeContactBody>},
        {kind::practice_answer, edge_payload<PracticeAnswerBody>},
        {kind::mock_result, edge_payload<MockResultBody>},
        {kind::explanation, edge_payload<ExplanationBody>},
        {kind::study_share, edge_payload<StudyShareBody>},
        {kind::exam_try, edge_payload<ExamTryBody>},
        {kind::station, edge_payload<StationBody>},
        {kind::pairing_wish, edge_payload<PairingWishBody>},
        {kind::pairing_review, edge_payload<PairingReviewBody>},
        {kind::checked_on, edge_payload<CheckedBody>},
    };
    std::vector<EdgeWord> out;
    for (const auto& [kind, make] : makers) out.push_back({kind, make(random, subjects)});
    return out;
}

}  // namespace ladderline::test
