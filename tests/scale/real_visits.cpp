#include "tests/scale/real_visits.hpp"

#include <algorithm>
#include <set>

#include "protocol/courier/attendant.hpp"
#include "protocol/courier/visitor.hpp"
#include "protocol/handshake/channel.hpp"
#include "protocol/handshake/preface.hpp"

namespace ladderline::scale {

using namespace protocol;

namespace {

constexpr std::uint64_t past_arrival = 1;
constexpr std::uint64_t first_arrival = 1000;
constexpr std::uint64_t frame_bytes = frame_header_bytes + aead_tag_bytes;
constexpr std::uint64_t message_head = 4;

struct NoShelf : WrapShelf {
    Result<std::vector<KeyId>> missing_keys(const CircleId&) override { return std::vector<KeyId>(); }
    Result<std::optional<Wrap>> copy_for_peer(const CircleId&, const KeyId&, const WrapTag&) override {
        return std::optional<Wrap>();
    }
    Result<void> take_key(const CircleId&, const AeadKey&) override { return ok(); }
};

}  // namespace

struct RealVisits::Store {
    InstanceTag instance;
    std::uint64_t arrivals = first_arrival;
};

// What one store holds of one circle.
class RealVisits::View : public LogView {
public:
    View(const Club& club, std::uint32_t circle, Store& store) : club_(club), number_(circle), store_(store) {}

    std::uint64_t base_of_courier = 0;  // 0: no cursor from the start
    std::vector<std::vector<std::uint64_t>> arrived;

    const Circle& circle() const { return club_.circles()[number_]; }
    void hold(std::size_t log, std::uint64_t arrival) {
        grow();
        arrived[log].push_back(arrival);
    }
    void write(std::size_t log) { hold(log, ++store_.arrivals); }

    Result<std::vector<LogHead>> heads(const CircleId&) override {
        grow();
        std::vector<LogHead> out;
        for (const std::uint32_t log : circle().by_id) {
            if (!arrived[log].empty()) out.push_back(head_of(log));
        }
        return out;
    }
    Result<Run> read_run(const CircleId&, const LogId& id, std::uint64_t first_seq) override {
        const std::uint32_t number = number_of(id);
        const Log& log = circle().logs[number];
        Run run{id, std::nullopt, first_seq, {}};
        if (first_seq == 0) run.opening = log.opening;
        std::size_t bytes = 0;
        for (std::size_t i = first_seq; i < arrived[number].size() && bytes < limits::run_bytes_max; ++i) {
            const Word& word = log.words[i];
            RunEvent event{{}, {}, std::nullopt, std::nullopt, Bytes(sealed_bytes(word), 1)};
            if ((word.flags & names_key) != 0) event.key.emplace();
            if ((word.flags & names_ctl) != 0) event.ctl.emplace(1);
            bytes += encoded_size(event);
            run.events.push_back(std::move(event));
        }
        return run;
    }
    Result<Appended> append_run(const CircleId&, const Run& run) override {
        grow();
        const std::uint32_t log = number_of(run.log);
        std::uint64_t have = arrived[log].size();
        if (run.first_seq > have) return Appended::gap;
        const std::uint64_t end = run.first_seq + run.events.size();
        if (end <= have) return Appended::known;
        for (; have < end; ++have) hold(log, ++store_.arrivals);
        return Appended::stored;
    }
    Result<std::uint64_t> next_seq(const CircleId&, const LogId& id) override {
        grow();
        return std::uint64_t{arrived[number_of(id)].size()};
    }
    Result<std::optional<EventId>> event_id(const CircleId&, const LogId& id, std::uint64_t seq) override {
        const std::uint32_t log = number_of(id);
        if (seq >= arrived[log].size()) return std::optional<EventId>();
        return std::optional(event_id_at(circle(), log, seq));
    }
    Result<std::optional<Position>> position() override {
        return std::optional(Position{store_.instance, store_.arrivals});
    }
    Result<std::vector<LogChange>> changes_since(const CircleId&, std::uint64_t arrival) override {
        grow();
        std::vector<LogChange> out;
        for (std::uint32_t log = 0; log < arrived.size(); ++log) {
            const auto& all = arrived[log];
            if (all.empty() || all.back() <= arrival) continue;
            const auto first = std::upper_bound(all.begin(), all.end(), arrival);
            out.push_back({head_of(log), static_cast<std::uint64_t>(first - all.begin())});
        }
        return out;
    }
    Result<std::optional<Cursor>> cursor_for(const CircleId&, const PeerTag& peer) override {
        const auto found = cursors_.find(peer);
        if (found != cursors_.end()) return std::optional(found->second);
        if (base_of_courier == 0) return std::optional<Cursor>();
        return std::optional(Cursor{base_of_courier, first_arrival});
    }
    Result<void> keep_cursor(const CircleId&, const PeerTag& peer, const std::optional<Cursor>& cursor) override {
        cursors_.erase(peer);
        if (cursor) cursors_.emplace(peer, *cursor);
        return ok();
    }

private:
    void grow() {
        if (arrived.size() < circle().logs.size()) arrived.resize(circle().logs.size());
    }
    std::uint32_t number_of(const LogId& id) {
        grow();
        std::uint32_t number = 0;
        ENSURE(circle().find(id, number) != nullptr);
        return number;
    }
    LogHead head_of(std::uint32_t log) const {
        const std::size_t count = arrived[log].size();
        return {circle().logs[log].id, count, event_id_at(circle(), log, count - 1)};
    }

    const Club& club_;
    std::uint32_t number_;
    Store& store_;
    std::map<PeerTag, Cursor> cursors_;
};

struct RealVisits::Post {
    Store store;
    DhPublic noise;
    SignKeys signing;
    std::map<std::uint32_t, std::unique_ptr<View>> views;  // by circle
};

class RealVisits::Book : public CourierBook {
public:
    Book(View& view, CourierPlace place) : view_(view), place_(std::move(place)) {}

    Result<std::optional<CourierPlace>> find_place(const CircleId&) override { return std::optional(place_); }
    Result<void> note_visit(const CircleId&, WallTime) override { return ok(); }
    Result<void> renew(const CircleId&, const SignPublic&) override { return ok(); }
    Result<void> remove(const CircleId&) override { return ok(); }
    Result<std::vector<KeyId>> kept_keys(const CircleId&) override { return std::vector<KeyId>(); }
    Result<std::optional<Wrap>> kept_copy(const CircleId&, const KeyId&, const WrapTag&) override {
        return std::optional<Wrap>();
    }
    Result<void> keep_copies(const CircleId&, const std::vector<WrapAnswerMessage::Copy>&, WallTime) override {
        return ok();
    }
    Result<void> replace_copies(const CircleId&, const std::vector<WrapAnswerMessage::Copy>&, WallTime) override {
        return ok();
    }
    LogView& log() override { return view_; }
    std::vector<FullMessage> take_refusals() override { return {}; }

private:
    View& view_;
    CourierPlace place_;
};

RealVisits::RealVisits(const Club& club, std::uint64_t seed, std::uint32_t one_in, double (*cpu_s)())
    : club_(club), dice_(seed), one_in_(one_in), cpu_s_(cpu_s), key_(AeadKey::random(dice_)) {
    for (std::size_t c = 0; c < couriers_each; ++c) {
        couriers_.push_back(std::make_unique<Post>(Post{
            {dice_.draw<InstanceTag>(), club.courier_arrivals(c)}, dice_.draw<DhPublic>(), make_sign_keys(dice_), {}}));
    }
}

RealVisits::~RealVisits() = default;

RealVisits::View& RealVisits::courier_view(std::uint32_t circle, std::uint32_t courier) {
    Post& post = *couriers_[courier];
    std::unique_ptr<View>& view = post.views[circle];
    if (!view) view = std::make_unique<View>(club_, circle, post.store);
    return *view;
}

void RealVisits::seated(std::uint32_t number, bool from_start) {
    const Seat& seat = club_.seats()[number];
    while (stores_.size() <= seat.device) stores_.push_back(std::make_unique<Store>(Store{dice_.draw<InstanceTag>()}));
    ENSURE(views_.size() == number);
    views_.push_back(std::make_unique<View>(club_, seat.circle, *stores_[seat.device]));
    last_same_.resize(couriers_each * views_.size());
    if (!from_start) return;
    View& view = *views_.back();
    view.base_of_courier = club_.courier_arrivals(0);
    for (std::size_t log = 0; log < seat.held.counts.size(); ++log) {
        for (std::size_t i = 0; i < seat.held.counts[log]; ++i) view.hold(log, past_arrival);
    }
    for (std::uint32_t c = 0; c < couriers_each; ++c) {
        View& there = courier_view(seat.circle, c);
        if (there.arrived.empty()) there.arrived = view.arrived;
    }
}

void RealVisits::wrote(std::uint32_t seat) {
    views_[seat]->write(club_.seats()[seat].log);
}

bool RealVisits::holds_as_modelled(const View& view, const Holding& holding) const {
    for (std::size_t i = 0; i < holding.counts.size(); ++i) {
        const std::size_t held = i < view.arrived.size() ? view.arrived[i].size() : 0;
        if (held != holding.counts[i]) return false;
    }
    return true;
}

void RealVisits::visited(std::uint32_t number, std::uint32_t courier, VisitKind kind, const Bytes2& modelled,
                         const Difference& difference) {
    const Seat& seat = club_.seats()[number];
    std::uint64_t& last = last_same_[number * couriers_each + courier];
    if (kind == VisitKind::equal && last == seat.held.hash && ++idle_ % one_in_ != 0) return;
    const double begun = cpu_s_ != nullptr ? cpu_s_() : 0;
    const Said said = carry(number, courier, kind == VisitKind::cut);
    Agreement& agreement = agreement_[kind];
    if (cpu_s_ != nullptr) agreement.cpu_s += cpu_s_() - begun;
    agreement.visits += 1;
    agreement.messages += said.messages;
    agreement.modelled_bytes += modelled.both();
    agreement.real_bytes += said.bytes.both();
    const std::uint64_t one = said.bytes.both();
    const std::uint64_t other = modelled.both();
    const std::uint64_t off = std::max(one, other) - std::min(one, other);
    agreement.most_bytes_off = std::max(agreement.most_bytes_off, off);
    agreement.most_share_off = std::max(agreement.most_share_off, static_cast<double>(off) / static_cast<double>(one));
    if (kind == VisitKind::equal) equal_bytes_ = one;
    if (kind == VisitKind::cursor && equal_bytes_ > 0) {
        worst_formula_ = std::max(
            worst_formula_, (static_cast<double>(one) - static_cast<double>(equal_bytes_)) / formula_bytes(difference));
    }
    if (kind == VisitKind::cut) return;
    last = seat.held.hash;
    const bool agrees =
        said.in_step && holds_as_modelled(*views_[number], seat.held) &&
        holds_as_modelled(courier_view(seat.circle, courier), club_.circles()[seat.circle].at_courier[courier]);
    disagreements_ += agrees ? 0 : 1;
}

RealVisits::Said RealVisits::carry(std::uint32_t number, std::uint32_t courier, bool is_cut) {
    const Seat& seat = club_.seats()[number];
    const Circle& circle = club_.circles()[seat.circle];
    Post& post = *couriers_[courier];
    const auto handshake = dice_.draw<HandshakeHash>();
    VisitSetup setup;
    setup.circle = circle.id;
    setup.courier = post.noise;
    setup.signing = post.signing.pub;
    setup.box = make_dh_keys(dice_);
    setup.keys.push_back(key_.clone());
    Book book(courier_view(seat.circle, courier),
              {access_keys(circle.id, key_).pub, {}, {}, circle.used_bytes[courier], 90, false});
    NoShelf shelf;
    Visitor visitor(*views_[number], shelf, std::move(setup), handshake);
    Attendant attendant(book, post.signing.secret, handshake);
    Said out;
    out.bytes = {preface_bytes + frame_header_bytes + 96, frame_header_bytes + 48};
    const WallTime now{1'764'097'500'000 + std::int64_t{club_.now_s()} * 1000};
    std::size_t flights = 0;
    const auto fly = [&](auto& from, std::uint64_t& bytes, auto take) {
        std::vector<Bytes> messages;
        std::uint64_t plain = 0;
        while (auto message = from.next_output()) {
            plain += message->size() + message_head;
            messages.push_back(std::move(*message));
        }
        if (messages.empty()) return false;
        flights += 1;
        out.messages += messages.size();
        bytes += plain + frame_bytes * ((plain + frame_plain_bytes_max - 1) / frame_plain_bytes_max);
        if (is_cut && flights > 2) return false;  // on its way, and lost
        for (const Bytes& message : messages) ENSURE(take(message).has_value());
        return true;
    };
    for (bool moved = true; moved;) {
        moved = fly(visitor, out.bytes.up, [&](const Bytes& m) { return attendant.on_message(m, now); });
        if (is_cut && flights > 2) break;
        moved = fly(attendant, out.bytes.down, [&](const Bytes& m) { return visitor.on_message(m); }) || moved;
    }
    out.in_step = visitor.is_over() && visitor.outcome().in_step;
    return out;
}

}  // namespace ladderline::scale
