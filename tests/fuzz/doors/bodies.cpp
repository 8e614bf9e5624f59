// What stands inside an event once it is opened: the body, and what members and officers say in it.

#include "protocol/circle/bodies.hpp"

#include "protocol/event/checked_body.hpp"
#include "protocol/event/pairing_bodies.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"
#include "tests/fuzz/engine/again.hpp"

namespace ladderline::fuzz {
namespace {

using namespace protocol;

template <template <class...> class Of>
using EveryBody = Of<Body, EventHeader, CardBody, ClubRowBody, PairingBody, AssignBody, TickBody, SignBody,
                     WithdrawBody, SetAsideBody, MeetBody, MeetOutcomeBody, ContactBody, NoteBody, AskBody, TouchBody,
                     KnownDateBody, PracticeAnswerBody, DeviceCertificate, FoundBody, AdmitBody, CertifyBody,
                     SetRoleBody, RemoveBody, ExtendCutBody, RotateBody, LeaveBody, RevokeBody, ConsentBody,
                     PaperBoxBody, TakeBackBody, MockResultBody, ExplanationBody, StudyShareBody, ExamTryBody,
                     AmendContactBody, StrikeContactBody, StationBody, PairingWishBody, PairingReviewBody, CheckedBody>;

template <class... T>
struct All {
    static void knock(ByteView input) { demand_codec_of<T...>(input); }
    static std::vector<Seed> seeds() { return codec_seeds<T...>(2); }
};

}  // namespace

Door door() {
    Door out;
    out.knock = EveryBody<All>::knock;
    out.seeds = EveryBody<All>::seeds();
    out.runs = 30'000;
    return out;
}

}  // namespace ladderline::fuzz
