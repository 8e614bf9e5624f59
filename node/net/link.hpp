#pragma once
// One TCP connection to a peer: a wire, and the protocol::Session that is said over it. Everything runs on the
// network's one strand.

#include <functional>

#include "node/net/greeted.hpp"
#include "node/net/host.hpp"
#include "node/net/wire.hpp"
#include "protocol/sync/session.hpp"
#include "store/circles/peers.hpp"
#include "store/circles/wrap_shelf.hpp"

namespace ladderline::node::net {

class Link : public std::enable_shared_from_this<Link>, private Talker {
public:
    using Socket = Wire::Socket;

    // A peer that called. Strangers get nothing beyond the handshake's silence.
    static std::shared_ptr<Link> accepted(const Parts& parts, Socket socket);
    // A known device, over an open socket.
    static std::shared_ptr<Link> dialled(const Parts& parts, Socket socket, const protocol::DhPublic& peer);

    // Runs until the connection ends; gives why. `established` is called once a member's device is known and syncing,
    // `came_in_step` each time that both are found to hold the same after they did not.
    boost::asio::awaitable<Error> run(std::function<void()> established, std::function<void()> came_in_step);
    // Local news of a circle: sends what the peer lacks.
    void on_news(const protocol::CircleId& circle);
    // Says goodbye if it can, writes what is waiting, and closes.
    void close();
    // At once, without a word. What it brought is told as at any other end.
    void cut();
    // The same because the node goes down: nothing is told or worked out any more, for whom it would be told may be
    // gone. Also for a link that was cut and has not come to its end.
    void cut_with_the_node();

    // The device's key, once it has proven that it holds it. The first words of a caller can be somebody else's, said
    // again; the first message inside the channel cannot.
    const std::optional<protocol::DhPublic>& peer() const { return proven_; }
    // Where the peer is, or called from.
    const boost::asio::ip::address& from() const { return from_; }
    bool has_ended() const { return wire_.has_ended(); }
    bool is_ours() const { return connection_.role() == protocol::Role::initiator; }
    // A caller who has shown nothing yet that not anybody could. Whoever compares check words, or was answered as
    // somebody who joins or comes back, is inside.
    bool is_at_the_door() const;
    // This side calls that device.
    bool is_call_to(const protocol::DhPublic& noise) const { return callee_ == noise; }
    bool in_step() const { return session_ && session_->in_step(); }
    // Both have held the same at the end of some message before the one that is being taken in.
    bool was_in_step() const { return ever_in_step_; }
    // It was worth the call: one took in something of the other, or it ended by a goodbye. One that breaks off before
    // that will most likely do so again; and where it only showed that both hold the same, nothing waits for the next.
    bool led_somewhere() const;
    // How far it has come at its best; at least `answer`.
    store::ReachStep step() const;

private:
    Link(const Parts& parts, Socket socket, protocol::Connection connection);
    Result<void> on_bytes(ByteView bytes) override;
    Result<bool> take_message() override;
    std::optional<Bytes> next_message() override { return session_ ? session_->next_output() : std::nullopt; }
    bool is_over() const override { return closing_; }
    void on_end() override;
    static boost::asio::awaitable<void> watch_deadline(std::shared_ptr<Link> self);
    static boost::asio::awaitable<void> watch_flow(std::shared_ptr<Link> self);
    Result<void> decide();
    Result<void> begin_session();
    // A stranger: nothing is told to them before check words were compared.
    Result<void> greet();
    Result<void> on_message(ByteView message);
    Result<void> on_caller(ByteView message);
    Result<void> on_join(const protocol::JoinMessage& join);
    Result<void> on_return(const protocol::ReturnMessage& message);
    Result<void> name_couriers(const std::vector<protocol::CircleId>& circles);
    Result<void> take_grants();
    Result<void> on_wraps(ByteView message);
    // Asks for keys of the circle that are missing here and that the peer may have.
    Result<void> ask_for_keys(const protocol::CircleId& circle);
    // Tells the host of circles that changed, once both sides hold the same.
    void end_bursts();
    void tell_settled();
    void note_step();
    std::optional<MonoTime> deadline() const;
    Result<void> on_deadline();
    Result<void> check_flow();
    // The peer spoke inside the channel.
    void take_for_proven();

    Parts parts_;
    protocol::Connection connection_;
    Wire wire_;
    boost::asio::ip::address from_;
    boost::asio::steady_timer deadline_;
    boost::asio::steady_timer flow_;
    std::optional<protocol::Session> session_;
    std::unique_ptr<store::StoreShelf> shelf_;
    std::unique_ptr<protocol::WrapBook> book_;
    std::unique_ptr<Greeted> greeted_;
    std::set<protocol::CircleId> unsettled_;
    std::vector<protocol::CircleId> circles_;
    std::optional<protocol::DhPublic> callee_;
    std::optional<protocol::DhPublic> peer_;
    std::optional<protocol::DhPublic> proven_;
    std::optional<MonoTime> proof_deadline_;  // of a caller whose handshake is done
    std::function<void()> established_;
    std::function<void()> came_in_step_;
    bool was_in_step_ = false;
    bool ever_in_step_ = false;
    bool moved_ = false;  // something was taken in, here or, as far as this side knows, there
    bool node_goes_down_ = false;
    bool closing_ = false;
};

}  // namespace ladderline::node::net
