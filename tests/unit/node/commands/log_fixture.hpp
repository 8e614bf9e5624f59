#pragma once
// Ana with her grant and Ben, her mentor, on one path: what the tests of the contact log share.

#include <doctest/doctest.h>

#include "node/commands/contacts.hpp"
#include "tests/support/node/member_fixture.hpp"

namespace ladderline::test {

struct LogPath {
    SetClock clock;
    MemberNode ana{clock, 1};
    MemberNode ben{clock, 2};

    LogPath() {
        using protocol::CircleKind;
        using protocol::MemberRole;
        clock.to("2026-03-02T18:00Z");
        begin_as(ana, "Ana", MemberRole::newcomer);
        begin_as(ben, "Ben", MemberRole::mentor);
        join(ana, ben, "Ben", CircleKind::path, MemberRole::mentor);
        tick_item(ana, "04.06", "KD0XAA");
        node::CardRequest card;
        card.call_sign = "KF1XMD";
        must(node::change_card(ben.context, card));
        both();
    }
    void both() {
        sync(ana, ben);
        sync(ana, ben);
    }
    // Ana has worked out her station's exposure, and Ben has seen it: nothing under her own call sign is ticked before.
    void work_out_exposure() {
        tick_item(ana, "07.12");
        both();
        sign_item(ben, "Ana", "07.12");
        both();
    }
    node::ContactRequest contact(const std::string& worked = "KD0XBB") {
        node::ContactRequest request;
        request.worked = worked;
        request.start = clock.now;
        request.frequency = "146.94";
        request.mode = "FM";
        return request;
    }
    // Written down by Ana; its id as commands take it.
    std::string log(const node::ContactRequest& request) {
        must(node::log_contact(ana.context, request));
        for (const node::ContactView& view : log_of(ana).contacts) {
            if (view.contact.start == request.start) return to_hex(view.id.view());
        }
        throw std::runtime_error("the contact is not in the log");
    }
    // Ana's log as somebody on the path sees it.
    node::WayView log_of(MemberNode& at) { return must(node::way(at.context, &at == &ana ? "" : "Ana")); }
};

}  // namespace ladderline::test
