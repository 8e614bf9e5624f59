#include "tests/bench/sync/peer.hpp"

#include <poll.h>
#include <sys/resource.h>
#include <unistd.h>

#include <chrono>

#include "store/schema/schema.hpp"
#include "store/settings/settings.hpp"
#include "store/upkeep/instance.hpp"
#include "store/vault/open_database.hpp"
#include "tests/bench/own_memory.hpp"
#include "tests/support/protocol/seeded_random.hpp"

namespace ladderline::bench {

using namespace protocol;
using Clock = std::chrono::steady_clock;

namespace {

constexpr std::size_t read_bytes = 16 * 1024;  // both as node/net
constexpr std::size_t waiting_bytes_max = 1024 * 1024;

store::sqlite::Database open(const std::filesystem::path& folder, Random& random) {
    std::filesystem::create_directories(folder);
    test::SeededRandom same_key(7);
    store::sqlite::Database db =
        must(store::vault::open_database(folder / "store.db", AeadKey::random(same_key), {true, {}, random}));
    must(store::bring_up_to_date(db));
    if (!must(store::instance_of(db))) must(store::begin_instance(db, random.draw<store::InstanceId>()));
    return db;
}

DhKeys noise_keys(std::uint64_t seed) {
    test::SeededRandom random(seed);
    return make_dh_keys(random);
}

double cpu_seconds() {
    rusage used{};
    getrusage(RUSAGE_SELF, &used);
    const auto seconds = [](const timeval& t) {
        return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
    };
    return seconds(used.ru_utime) + seconds(used.ru_stime);
}

std::int64_t count(store::sqlite::Database& db, std::string_view sql) {
    std::int64_t out = 0;
    must(db.query(sql, [&](const store::sqlite::Row& row) { out = row.integer(0); }));
    return out;
}

// The driver's loop, without the network: bytes in, bytes out.
class Line {
public:
    Line(Node& node, const World& world, int socket, Session::Side side, Random& random)
        : node_(node), world_(world), socket_(socket), side_(side), connection_(connect(side, random)) {}

    // False at the end of the stream.
    bool step() {
        flush();
        pollfd waiting{socket_, static_cast<short>(POLLIN | (outgoing_.empty() ? 0 : POLLOUT)), 0};
        ::poll(&waiting, 1, -1);
        if ((waiting.revents & POLLOUT) != 0) write_some();
        if ((waiting.revents & (POLLIN | POLLHUP)) == 0) return true;
        Bytes bytes(read_bytes);
        const ssize_t size = ::read(socket_, bytes.data(), bytes.size());
        if (size <= 0) return false;
        if (!incoming_) ++flights_;
        incoming_ = true;
        in_ += static_cast<std::uint64_t>(size);
        take(ByteView(bytes).first(static_cast<std::size_t>(size)));
        return true;
    }
    void flush() {
        bool more = session_.has_value();
        while (more && outgoing_.size() < waiting_bytes_max) {
            for (std::size_t bytes = 0; more && bytes < frame_plain_bytes_max;) {
                const auto message = session_->next_output();
                more = message.has_value();
                if (!message) break;
                bytes += message->size();
                must(connection_.send(*message));
            }
            append();
        }
        append();
        write_some();
    }
    bool in_step() const { return session_ && session_->in_step(); }
    void bye() {
        flush();  // the last words before it
        session_->say_bye();
        flush();
    }
    std::uint64_t in() const { return in_; }
    std::uint64_t out() const { return out_; }
    std::uint64_t flights() const { return flights_; }
    bool take_changed() { return session_ && !session_->take_changed().empty(); }

private:
    static Connection connect(Session::Side side, Random& random) {
        if (side == Session::Side::caller) {
            InitiatorSetup setup;
            setup.local_static = noise_keys(1);
            setup.remote_static = noise_keys(2).pub;
            return Connection::initiate(std::move(setup), random, {0});
        }
        ResponderSetup setup;
        setup.local_static = noise_keys(2);
        return Connection::respond(std::move(setup), random, {0});
    }
    void take(ByteView bytes) {
        must(connection_.on_bytes(bytes, {0}));
        if (connection_.awaiting_decision()) must(connection_.accept({}));
        if (!connection_.established()) return;
        if (!session_) {
            session_.emplace(node_.log(), side_, std::vector{world_.circle()}, connection_.handshake_hash().view(),
                             connection_.remote_static().view());
            must(session_->begin());
        }
        while (const auto message = connection_.next_message()) must(session_->on_message(*message));
    }
    void append() {
        const Bytes more = connection_.next_output();
        outgoing_.insert(outgoing_.end(), more.begin(), more.end());
    }
    void write_some() {
        if (outgoing_.empty()) return;
        const ssize_t size = ::write(socket_, outgoing_.data(), outgoing_.size());
        if (size <= 0) return;
        if (incoming_) ++flights_;
        incoming_ = false;
        out_ += static_cast<std::uint64_t>(size);
        outgoing_.erase(outgoing_.begin(), outgoing_.begin() + size);
    }

    Node& node_;
    const World& world_;
    int socket_;
    Session::Side side_;
    Connection connection_;
    std::optional<Session> session_;
    Bytes outgoing_;
    std::uint64_t in_ = 0;
    std::uint64_t out_ = 0;
    std::uint64_t flights_ = 0;
    bool incoming_ = true;
};

}  // namespace

void SystemRandom::fill(MutableByteView out) {
    if (getentropy(out.data(), out.size()) != 0) throw std::runtime_error("no randomness");
}

Node::Node(const std::filesystem::path& folder)
    : db_(open(folder, random_)), log_(db_, random_, {&circles_, &ladder_, &contacts_, &club_, &desk_, &courier_}) {
    must(log_.prepare());
}

Measured call(Node& node, const World& world, int socket, std::uint64_t bytes_in_max) {
    SystemRandom random;
    Measured out;
    std::ofstream("/proc/self/clear_refs") << "5";  // the peak begins anew
    out.idle_kib = status_kib("VmRSS:");
    const double cpu_before = cpu_seconds();
    const auto begun = Clock::now();
    const auto since = [&] { return std::chrono::duration<double>(Clock::now() - begun).count(); };
    Line line(node, world, socket, Session::Side::caller, random);
    const auto people = static_cast<std::int64_t>(world.people());
    while (line.in() < bytes_in_max && line.step()) {
        if (line.take_changed()) {
            if (out.people_s < 0 && count(node.db(), "SELECT count(*) FROM member") == people) out.people_s = since();
            if (out.half_s < 0 && count(node.db(), "SELECT count(*) FROM author") >= people / 2) out.half_s = since();
        }
        if (!line.in_step()) continue;
        out.in_step_s = since();
        out.cpu_s = cpu_seconds() - cpu_before;
        line.bye();
        break;
    }
    out.bytes_in = line.in();
    out.bytes_out = line.out();
    out.flights = line.flights();
    out.peak_kib = status_kib("VmHWM:");
    return out;
}

void answer(Node& node, const World& world, int socket) {
    SystemRandom random;
    Line line(node, world, socket, Session::Side::called, random);
    while (line.step()) {
    }
}

}  // namespace ladderline::bench
