// Every type that travels, against the three promises of the encoding: one byte string a value, whole or not at all,
// and nothing else decodes.

#include "protocol/event/bodies.hpp"

#include <doctest/doctest.h>

#include "protocol/event/checked_body.hpp"
#include "protocol/event/station_bodies.hpp"
#include "protocol/event/study_bodies.hpp"
#include "protocol/sync/messages.hpp"
#include "tests/support/protocol/random_value.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

#define EVERY_TYPE                                                                                                    \
    Body, EventHeader, LogOpening, CardBody, ClubRowBody, PairingBody, AssignBody, TickBody, SignBody, WithdrawBody,  \
        SetAsideBody, MeetBody, MeetOutcomeBody, ContactBody, NoteBody, AskBody, TouchBody, KnownDateBody,            \
        AmendContactBody, StrikeContactBody, PracticeAnswerBody, StudyShareBody, ExamTryBody, StationBody,            \
        CheckedBody, DeviceCertificate, FoundBody, AdmitBody, CertifyBody, SetRoleBody, RemoveBody, HelloMessage,     \
        AnswerMessage, ChangesMessage, TreeMessage, RunMessage, NeedMessage, ProbeMessage, ProofMessage, DoneMessage, \
        SameMessage, AgainMessage, AckMessage, GrantMessage, JoinMessage, WelcomeMessage, ReturnMessage,              \
        ReturnedMessage

TEST_CASE_TEMPLATE("a value comes back from its bytes as it was", T, EVERY_TYPE) {
    test::SeededRandom random(11);
    for (int round = 0; round < 40; ++round) {
        const Bytes bytes = codec::encode(test::random_value<T>(random));
        const auto value = codec::decode<T>(bytes);
        REQUIRE(value.has_value());
        REQUIRE(to_hex(codec::encode(value.value())) == to_hex(bytes));
    }
}

TEST_CASE_TEMPLATE("a value that is cut short anywhere is refused", T, EVERY_TYPE) {
    test::SeededRandom random(12);
    const Bytes bytes = codec::encode(test::random_value<T>(random));
    for (std::size_t size = 0; size < bytes.size(); ++size) {
        CAPTURE(size);
        REQUIRE_FALSE(codec::decode<T>(ByteView(bytes).first(size)).has_value());
    }
}

TEST_CASE_TEMPLATE("a value with a byte behind it is refused", T, EVERY_TYPE) {
    test::SeededRandom random(13);
    Bytes bytes = codec::encode(test::random_value<T>(random));
    bytes.push_back(0);
    CHECK_FALSE(codec::decode<T>(bytes).has_value());
}

TEST_CASE_TEMPLATE("a value with changed bytes is refused or is the value of just those bytes", T, EVERY_TYPE) {
    test::SeededRandom random(14);
    for (int round = 0; round < 200; ++round) {
        Bytes bytes = codec::encode(test::random_value<T>(random));
        for (std::uint64_t changes = random.next() % 3 + 1; changes > 0; --changes) {
            bytes[random.next() % bytes.size()] = static_cast<std::uint8_t>(random.next());
        }
        const auto value = codec::decode<T>(bytes);
        if (value) REQUIRE(to_hex(codec::encode(value.value())) == to_hex(bytes));
    }
}

TEST_CASE("a payload that is malformed reads as nothing") {
    CHECK_FALSE(read_payload<TouchBody>(Bytes{}).has_value());
    CHECK(read_payload<TouchBody>(Bytes{2})->day == Day{1});
}
