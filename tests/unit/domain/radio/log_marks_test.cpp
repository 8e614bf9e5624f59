#include "node/domain/radio/log_marks.hpp"

#include <doctest/doctest.h>

#include <algorithm>

using namespace ladderline;
using namespace ladderline::domain;

namespace {

constexpr std::int64_t day_ms = 86'400'000;

MarkRow row(const std::string& worked = "KD0XBB", std::int64_t day = 0) {
    MarkRow out;
    out.start = {day * day_ms};
    out.worked = worked;
    out.station = "KD0XAA";
    out.frequency_hz = 146'940'000;
    out.band = "2m";
    out.mode = {"FM", ""};
    return out;
}

std::vector<MarkRow> many(std::size_t count) {
    std::vector<MarkRow> out;
    for (std::size_t i = 0; i < count; ++i) out.push_back(row("KD0XBB", static_cast<std::int64_t>(i) * 10));
    return out;
}

std::optional<LogMark> found(const std::vector<MarkRow>& rows, MarkKind kind) {
    for (LogMark& mark : log_marks(rows, {"KF1XMD"})) {
        if (mark.kind == kind) return std::move(mark);
    }
    return std::nullopt;
}

}  // namespace

TEST_CASE("an empty log shows nothing") {
    CHECK(log_marks({}, {}).empty());
}

TEST_CASE("the first and the tenth contact are the first and the tenth of the own call sign") {
    auto rows = many(10);
    MarkRow guest = row();
    guest.as_guest = true;
    rows.insert(rows.begin(), guest);
    CHECK(found(rows, MarkKind::first_as_guest)->row == 0);
    CHECK(found(rows, MarkKind::first)->row == 1);
    CHECK(found(rows, MarkKind::tenth)->row == 10);
    rows.pop_back();
    CHECK_FALSE(found(rows, MarkKind::tenth).has_value());
}

TEST_CASE("a second contact counts within seven days of the first, and not later") {
    CHECK(found({row(), row("KD0XCC", 7)}, MarkKind::second_within_week).has_value());
    CHECK_FALSE(found({row(), row("KD0XCC", 8)}, MarkKind::second_within_week).has_value());
}

TEST_CASE("a contact with the mentor is known by the mentor's call sign, whatever stands around it") {
    CHECK(found({row("KF1XMD/P")}, MarkKind::with_mentor).has_value());
    CHECK_FALSE(found({row("KF1XME")}, MarkKind::with_mentor).has_value());
}

TEST_CASE("through what a contact went is said where it is known, and else not") {
    struct Case {
        const char* remark;
        std::int64_t frequency_hz;
        const char* mode;
        Through through;
    };
    const Case cases[] = {
        {"", 146'940'000, "FM", Through::unknown},
        {"direct from the hill", 146'940'000, "FM", Through::direct},
        {"Simplex!", 146'940'000, "FM", Through::direct},
        {"directly", 146'940'000, "FM", Through::unknown},
        {"repeater, direct was too weak", 146'520'000, "FM", Through::repeater},
        {"", 146'520'000, "FM", Through::direct},
        {"", 14'250'000, "FM", Through::direct},
        {"", 144'200'000, "SSB", Through::direct},
        {"", 446'000'000, "PKT", Through::unknown},
        {"", 29'600'000, "FM", Through::unknown},
    };
    for (const Case& c : cases) {
        MarkRow one = row();
        one.remark = c.remark;
        one.frequency_hz = c.frequency_hz;
        one.mode = {c.mode, ""};
        CAPTURE(c.remark);
        CAPTURE(c.frequency_hz);
        CHECK(through_what(one).through == c.through);
        CHECK(through_what(one).known_by.empty() == (c.through == Through::unknown));
    }
}

TEST_CASE("where only the band is known its upper edge decides") {
    MarkRow one = row();
    one.frequency_hz.reset();
    one.band = "20m";
    CHECK(through_what(one).through == Through::direct);
    one.band = "10m";
    CHECK(through_what(one).through == Through::unknown);
}

TEST_CASE("far and direct takes both locators, no repeater and no shortwave") {
    MarkRow one = row();
    one.remark = "simplex";
    CHECK_FALSE(found({one}, MarkKind::direct_far).has_value());
    one.distance_km = 5.0;
    CHECK_FALSE(found({one}, MarkKind::direct_far).has_value());
    one.distance_km = 5.1;
    CHECK(found({one}, MarkKind::direct_far).has_value());
    one.frequency_hz = 14'250'000;
    CHECK_FALSE(found({one}, MarkKind::direct_far).has_value());
}

TEST_CASE("another country and another continent follow from both call signs, and unknown stays unknown") {
    // A foreign prefix before a home call is a station in that country; a call that begins with Q is nobody's.
    CHECK(found({row("VE9/KD0XBB")}, MarkKind::other_country).has_value());
    CHECK_FALSE(found({row("VE9/KD0XBB")}, MarkKind::other_continent).has_value());
    CHECK(found({row("DL/KD0XBB")}, MarkKind::other_continent)->known_by == "its call sign belongs to Europe");
    CHECK(found({row("UA9/KD0XBB")}, MarkKind::other_country).has_value());
    CHECK_FALSE(found({row("UA9/KD0XBB")}, MarkKind::other_continent).has_value());
    CHECK_FALSE(found({row("Q1ABC")}, MarkKind::other_country).has_value());
    CHECK_FALSE(found({row("KD0XBB")}, MarkKind::other_country).has_value());
}

TEST_CASE("a far contact is confirmed only where the other log agrees") {
    MarkRow one = row("DL/KD0XBB");
    CHECK_FALSE(found({one}, MarkKind::far_agreed).has_value());
    one.agreed = true;
    CHECK(found({one}, MarkKind::far_agreed).has_value());
}

TEST_CASE("data, shortwave as a guest, and ten away from home") {
    MarkRow data = row();
    data.mode = {"MFSK", "FT4"};
    CHECK(found({data}, MarkKind::first_data).has_value());
    MarkRow guest = row();
    guest.as_guest = true;
    CHECK_FALSE(found({guest}, MarkKind::guest_on_shortwave).has_value());
    guest.frequency_hz = 7'200'000;
    CHECK(found({guest}, MarkKind::guest_on_shortwave).has_value());
    auto rows = many(11);
    for (MarkRow& one : rows) one.remark = "portable";
    rows[0].remark.clear();
    CHECK(found(rows, MarkKind::ten_portable)->row == 10);
    rows[1].remark.clear();
    CHECK_FALSE(found(rows, MarkKind::ten_portable).has_value());
    rows[1].station = "KD0XAA/P";
    CHECK(found(rows, MarkKind::ten_portable).has_value());
}
