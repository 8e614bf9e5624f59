#include "node/net/courier_visit.hpp"

#include "node/net/dialling.hpp"
#include "store/circles/wrap_shelf.hpp"

namespace ladderline::node::net {
namespace {

using namespace protocol;
namespace asio = boost::asio;

// A visit's part in its connection.
class VisitTalk : public Talk {
public:
    VisitTalk(const Parts& parts, const store::AtCourier& at, VisitSetup setup, std::uint64_t covered)
        : parts_(parts),
          at_(at),
          setup_(std::move(setup)),
          view_(parts.db, parts.log, covered),
          shelf_(parts.states, parts.log, parts.random, at.courier) {}

    Result<void> on_established(Connection& connection) override {
        visitor_.emplace(view_, shelf_, std::move(setup_), connection.handshake_hash());
        return ok();
    }

    Result<void> on_message(ByteView message) override {
        const Result<void> outcome = visitor_->on_message(message);
        if (visitor_->take_changed()) {
            brought_ = true;
            parts_.host.changed(at_.circle);
        }
        TRY(outcome);
        const VisitOutcome& so_far = visitor_->outcome();
        if (so_far.receipt && so_far.receipt != kept_) return keep(*so_far.receipt, so_far.receipt_is_current);
        return ok();
    }

    std::optional<Bytes> next_output() override { return visitor_ ? visitor_->next_output() : std::nullopt; }
    bool is_over() const override { return visitor_ && visitor_->is_over(); }

    VisitOutcome outcome() const { return visitor_ ? visitor_->outcome() : VisitOutcome{}; }
    std::uint64_t lacked() const { return view_.lacked(); }
    bool brought_news() const { return brought_; }

private:
    Result<void> keep(const Receipt& receipt, bool is_current) {
        kept_ = receipt;
        std::optional<std::uint64_t> covered;
        if (is_current) {
            TRY(covered, parts_.log.arrivals());
        }
        return store::keep_receipt(parts_.db, at_, receipt, covered);
    }

    Parts parts_;
    store::AtCourier at_;
    VisitSetup setup_;
    store::VisitView view_;
    store::StoreShelf shelf_;
    std::optional<Visitor> visitor_;
    std::optional<Receipt> kept_;
    bool brought_ = false;
};

struct Plan {
    VisitSetup setup;
    std::uint64_t covered = 0;
    std::vector<WrapAnswerMessage::Copy> to_leave;
    SignPublic current;
    bool is_told = false;  // of `current`, by this node
};

// What the courier was told last goes first, where this node knows it.
Result<Plan> plan_visit(const Parts& parts, const store::CircleCourier& where, const store::AtCourier& at) {
    Plan plan;
    VisitSetup& setup = plan.setup;
    setup.circle = at.circle;
    setup.courier = at.courier;
    setup.signing = where.said.signing;
    setup.box = dh_keys_from_secret(parts.me.box.secret.clone());
    TRY(const auto paper, store::stored_paper_seed(parts.db));
    if (paper && store::gives_identity(*paper, parts.me)) setup.paper_box = paper_box_keys(*paper);
    TRY(setup.keys, store::visiting_keys(parts.db, parts.log, at.circle));
    plan.current = access_keys(at.circle, setup.keys.front()).pub;
    TRY(plan.to_leave, store::copies_to_leave(parts.db, at));
    setup.to_leave = plan.to_leave;
    TRY(auto registrar, store::registrar_of(parts.db, at));
    if (registrar) {
        setup.renew_to = plan.current;
        plan.is_told = registrar->access == plan.current;
        for (std::size_t i = 1; i < setup.keys.size(); ++i) {
            if (access_keys(at.circle, setup.keys[i]).pub == registrar->access) {
                std::swap(setup.keys[0], setup.keys[i]);
            }
        }
        setup.registrar = std::move(registrar->keys.secret);
    }
    TRY(const auto receipt, store::receipt_of(parts.db, at));
    if (receipt) plan.covered = receipt->covered;
    return plan;
}

Connection call(const Parts& parts, const DhPublic& courier) {
    InitiatorSetup setup;
    setup.pattern = WirePattern::ik;
    setup.local_static = make_dh_keys(parts.random);  // for this call alone
    setup.remote_static = courier;
    return Connection::initiate(std::move(setup), parts.random, parts.clock.monotonic());
}

asio::awaitable<Result<void>> talk_to(asio::any_io_executor strand, Parts parts, std::string address,
                                      std::unique_ptr<Talk>* talk, DhPublic courier, CourierTimes times,
                                      std::shared_ptr<Duplex>* kept) {
    const Result<Address> where = parse_address(address);
    if (!where) co_return where.error();
    auto socket = co_await dial_to(strand, where.value(), times.connect_ms_max);
    if (!socket) co_return socket.error();
    Connection connection = call(parts, courier);
    *kept = std::make_shared<Duplex>(std::move(*socket.value()), std::move(connection), parts.clock, std::move(*talk),
                                     times.talk);
    Result<void> outcome = co_await (*kept)->run();
    co_return outcome;
}

// The step that did not come off is said by the address; the rest by the courier.
Result<void> note(const Parts& parts, const store::AtCourier& at, const Result<void>& outcome, const VisitTalk* talk) {
    TRY(store::VisitNote note, store::visit_note(parts.db, at));
    note.last_ok.reset();
    note.note = outcome ? "" : outcome.error().sentence();
    if (talk == nullptr) return store::note_visit(parts.db, at, note);
    const VisitOutcome said = talk->outcome();
    note.lacked += talk->lacked();
    if (outcome) {
        note.note = courier_refusal(said);
        note.full = said.full;
        note.used_bytes = said.used_bytes;
        if (note.note.empty() && said.in_step) note.last_ok = parts.clock.wall();
        if (note.note.empty() && !said.in_step && !said.full) {
            note.note = "The courier and this node do not hold the same, though all was exchanged.";
        }
    }
    return store::note_visit(parts.db, at, note);
}

Result<void> keep_outcome(const Parts& parts, const store::AtCourier& at, const Plan& plan, const VisitTalk& talk) {
    const VisitOutcome said = talk.outcome();
    const bool went_back = plan.is_told && said.was_behind;  // to an older state, which lacks the copies left since
    if (went_back) {
        TRY(store::forget_what_was_left(parts.db, at));
    }
    if (said.copies_left && talk.is_over()) {
        TRY(store::note_left(parts.db, at, plan.to_leave));
    }
    if (said.said == CourierSaid::renewed) {
        TRY(store::note_renewal(parts.db, at, plan.current));
    }
    if (said.verdict == AccessVerdict::unknown && talk.is_over()) return store::forget_what_was_left(parts.db, at);
    return ok();
}

using Said = std::function<Bytes(const Connection&)>;

// Of the circle, the newest first; no more than one message claims.
std::vector<SignKeys> access_keys_held(const Parts& parts, const CircleId& circle) {
    std::vector<SignKeys> out;
    const auto keys = store::visiting_keys(parts.db, parts.log, circle);
    if (!keys) return out;
    for (const AeadKey& key : keys.value()) {
        if (out.size() == limits::circles_max) break;
        out.push_back(access_keys(circle, key));
    }
    return out;
}

asio::awaitable<Result<PlacedMessage>> ask_for_place(asio::any_io_executor strand, Parts parts, PlaceSetup setup,
                                                     Said before) {
    const Bytes words = encode_courier_message(setup.words);
    const Error silence(Fault::refused,
                        "The courier there does not know this code: it was used, has run out, or was not made there. "
                        "Nothing was changed; ask its keeper for a new one.");
    const auto question = std::make_shared<const Question>(
        Question{setup.address, setup.code, Psk::copy_of(setup.secret), [words](const Connection&) { return words; },
                 "Nothing was changed", silence, setup.wait_ms_max, true, before});
    const Result<Reply> reply = co_await ask_once(strand, parts, question);
    if (!reply) co_return reply.error();
    const auto message = decode_courier_message(reply.value().message);
    if (!message) co_return message.error();
    const auto* placed = std::get_if<PlacedMessage>(&message.value());
    Error odd(Fault::peer, "Who answered there is no courier; nothing was changed.");
    if (placed == nullptr) co_return odd;
    if (placed->place && placed->place->noise != reply.value().remote) co_return odd;
    co_return *placed;
}

}  // namespace

Result<void> take_couriers(const Parts& parts, const Reply& reply) {
    if (!reply.more) return ok();
    const auto message = decode_courier_message(*reply.more);
    const auto* named = message ? std::get_if<KnownCouriersMessage>(&message.value()) : nullptr;
    return named == nullptr ? ok() : store::remember_couriers(parts.db, *named);
}

std::string courier_refusal(const VisitOutcome& outcome) {
    switch (outcome.verdict) {
        case AccessVerdict::granted:
            break;
        case AccessVerdict::unknown:
            return "The courier does not keep this circle, or no longer: its place ended, or nobody came for too long.";
        case AccessVerdict::other_key:
        case AccessVerdict::former_key:
            return "The courier waits for a newer key of this circle than this node has.";
    }
    return "";
}

asio::awaitable<Result<PlacedMessage::Place>> take_courier_place(asio::any_io_executor strand, Parts parts,
                                                                 PlaceSetup setup) {
    const CircleId circle = setup.words.circle;
    const auto access = std::make_shared<const std::vector<SignKeys>>(access_keys_held(parts, circle));
    const Said nothing;
    Result<PlacedMessage> placed = co_await ask_for_place(strand, parts, setup, nothing);
    // A courier that keeps the circle already wants a proof first, which an older one would not expect. It has not used
    // the code up.
    if (placed && !placed.value().place && !access->empty()) {
        const Said proof = [access, circle](const Connection& connection) {
            AccessMessage claims;
            for (const SignKeys& keys : *access) {
                claims.claims.push_back(make_claim(circle, keys, connection.handshake_hash()));
            }
            return encode_courier_message(claims);
        };
        placed = co_await ask_for_place(strand, parts, setup, proof);
    }
    if (!placed) co_return placed.error();
    if (!placed.value().place) co_return Error(Fault::refused, placed.value().refusal);
    co_return *placed.value().place;
}

asio::awaitable<Result<VisitOutcome>> visit_courier(asio::any_io_executor strand, Parts parts,
                                                    store::CircleCourier where, CourierTimes times) {
    const store::AtCourier at{where.circle, where.said.noise};
    Result<Plan> planned = plan_visit(parts, where, at);
    if (!planned) co_return planned.error();
    Plan plan = std::move(planned).value();
    auto visit = std::make_unique<VisitTalk>(parts, at, std::move(plan.setup), plan.covered);
    const VisitTalk* talk = visit.get();
    std::unique_ptr<Talk> part = std::move(visit);
    std::shared_ptr<Duplex> kept;  // holds the talk from then on
    const Result<void> outcome =
        co_await talk_to(strand, parts, where.said.address, &part, where.said.noise, times, &kept);
    if (kept) {
        const Result<void> stored = keep_outcome(parts, at, plan, *talk);
        if (!stored) co_return stored.error();
    }
    const Result<void> noted = note(parts, at, outcome, kept ? talk : nullptr);
    if (!noted) co_return noted.error();
    if (kept && talk->brought_news()) parts.host.settled(at.circle);
    if (!outcome) co_return outcome.error();
    VisitOutcome said = talk->outcome();
    co_return said;
}

asio::awaitable<Result<void>> stop_courier(asio::any_io_executor strand, Parts parts, store::AtCourier at,
                                           CourierTimes times) {
    Result<std::optional<store::Registrar>> found = store::registrar_of(parts.db, at);
    if (!found) co_return found.error();
    Error none(
        Fault::refused,
        "This node did not take that place, so it cannot end it; the courier's keeper can. Nothing was changed.");
    if (!found.value()) co_return none;
    store::Registrar registrar = std::move(*found.value());
    VisitSetup setup;
    setup.circle = at.circle;
    setup.courier = at.courier;
    setup.box = dh_keys_from_secret(parts.me.box.secret.clone());
    setup.registrar = std::move(registrar.keys.secret);
    setup.stop = true;
    auto visit = std::make_unique<VisitTalk>(parts, at, std::move(setup), 0);
    const VisitTalk* talk = visit.get();
    std::unique_ptr<Talk> part = std::move(visit);
    std::shared_ptr<Duplex> kept;
    Result<void> outcome = co_await talk_to(strand, parts, registrar.address, &part, at.courier, times, &kept);
    if (!outcome) co_return outcome;
    Error refused(Fault::refused, "The courier does not take this node for the one that took the place.");
    if (talk->outcome().said == CourierSaid::not_registrar) co_return refused;
    Result<void> forgotten = store::forget_courier(parts.db, at);
    co_return forgotten;
}

}  // namespace ladderline::node::net
