#include "node/app/node_host.hpp"

#include <cstdio>

#include "node/commands/circles.hpp"
#include "node/commands/club_row.hpp"
#include "node/commands/key_rotation.hpp"
#include "node/commands/returning.hpp"
#include "protocol/sync/returning.hpp"
#include "store/circles/owners.hpp"
#include "store/circles/peers.hpp"

namespace ladderline::node {

using namespace protocol;

std::optional<Psk> NodeHost::invite_secret(const InviteId& invite) {
    const auto secret = secret_of_invite(context_, invite);
    if (secret && secret.value()) return Psk::copy_of(*secret.value());
    const auto member = returning_member(context_, invite);
    if (member && member.value()) return return_psk(*member.value());
    return std::nullopt;
}

Result<ReturnedMessage> NodeHost::let_back(const ReturnMessage& message) {
    TRY(auto answer, node::let_back(context_, message));
    if (answer.back) log_line("A member came back on a new device.");
    return answer;
}

Result<WelcomeMessage> NodeHost::let_in(const InviteId& invite, const JoinMessage& join) {
    return node::let_in(context_, invite, join);
}

Result<bool> NodeHost::take_grant(const GrantMessage& grant, const DhPublic& peer) {
    TRY(const bool is_removed, store::is_removed(context_.db, grant.circle, context_.me.id()));
    if (is_removed) {
        // Let in again. The granted key is left: events name the one in use, and it is asked for by that name.
        TRY(store::remember_welcome(context_.db, grant.circle, {}, peer));
        return true;
    }
    TRY(const bool takes, store::takes_grant_of(context_.db, grant.circle, context_.me.id(), peer));
    if (!takes) return false;
    TRY(context_.log.add_key(grant.circle, AeadKey::copy_of(grant.key)));  // first: who is remembered gave theirs
    TRY(store::remember_welcome(context_.db, grant.circle, {}, peer));
    return true;  // the own card follows once it is known what circle it is
}

void NodeHost::changed(const CircleId& circle) {
    const Result<void> shown = tell_arrival(context_, circle);
    arrived_();
    if (!shown) log_line("The club's row could not be brought up to date: " + shown.error().sentence());
}

void NodeHost::settled(const CircleId& circle) {
    const Result<void> done = settle_circle(context_, circle);
    if (!done && done.error().fault() != Fault::not_found) {
        log_line("A circle could not be given a new key or your card: " + done.error().sentence());
    }
    settled_(circle);
}

void NodeHost::log_line(const std::string& line) {
    std::fprintf(stderr, "%s\n", line.c_str());
}

}  // namespace ladderline::node
