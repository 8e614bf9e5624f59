#include "store/circles/log_ends.hpp"

#include <doctest/doctest.h>

#include "tests/support/protocol/log_writer.hpp"
#include "tests/support/store/founded_circle.hpp"

using namespace ladderline;
using namespace ladderline::protocol;
using test::LogWriter;

namespace {

// Ada's club, in which Ben is; his logs come as they are written.
struct World : test::FoundedCircle {
    World() : FoundedCircle(61, CircleKind::club) { admit(node, ben, MemberRole::mentor); }

    void remove_ben(std::vector<Cut> cuts) {
        say(node, kind::remove, codec::encode(RemoveBody{ben.id(), "", std::move(cuts)}));
    }
    // A log of Ben's with so many events; gives its end.
    Cut write(int events) {
        LogWriter log(circle, ben.device, random);
        EventId last;
        for (int i = 0; i < events; ++i) last = log.write_note(key, "word");
        REQUIRE(node.log.append_run(circle, log.run()).value() == Appended::stored);
        return {log.log(), std::uint64_t(events) - 1, last};
    }
    std::vector<Cut> ends_of_ben() {
        return store::log_ends(node.db, circle, state(node),
                               [&](const DeviceCertificate& device) { return device.member == ben.id(); })
            .value();
    }
};

}  // namespace

TEST_CASE("the ends of a member's logs are their last events, the longest log first, and nobody else's") {
    World w;
    const Cut of_two = w.write(2);
    const Cut of_five = w.write(5);
    const Cut of_three = w.write(3);
    const Cut of_four = w.write(4);
    CHECK(w.ends_of_ben() == std::vector{of_five, of_four, of_three, of_two});
}

TEST_CASE("a log that counts up to a cut ends there, whatever is held beyond it") {
    World w;
    const Cut end = w.write(5);
    w.remove_ben({{end.log, 1, {}}});
    CHECK(w.ends_of_ben() == std::vector{Cut{end.log, 1, {}}});
}

TEST_CASE("a log of which nothing counts has no end") {
    World w;
    w.write(3);
    w.remove_ben({});
    CHECK(w.ends_of_ben().empty());
}

TEST_CASE("of more logs than an event can name the shortest are left out") {
    World w;
    const Cut lengthy = w.write(3);
    w.write(1);
    for (std::size_t i = 0; i < limits::list_max - 1; ++i) w.write(2);
    const auto ends = w.ends_of_ben();
    REQUIRE(ends.size() == limits::list_max);
    CHECK(ends.front() == lengthy);
    CHECK(ends.back().seq == 1);
}
