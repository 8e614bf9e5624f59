#pragma once
// The node of a world's founder, who is an officer of the club: what commands and pages are asked from.

#include "node/commands/context.hpp"
#include "tests/bench/sync/peer.hpp"

namespace ladderline::bench {

class FixedClock : public Clock {
public:
    explicit FixedClock(WallTime now) : now_(now) {}
    WallTime wall() override { return now_; }
    MonoTime monotonic() override { return {now_.ms}; }

private:
    WallTime now_;
};

class Officer {
public:
    Officer(const std::filesystem::path& folder, const World& world)
        : node_(folder),
          person_(world.founder()),
          me_{{person_.identity.pub, person_.identity.secret.clone()},
              {person_.device.pub, person_.device.secret.clone()},
              std::move(person_.noise),
              std::move(person_.box),
              world.founder().certificate()},
          clock_(world.end()),
          env_{clock_, random_},
          context{node_.db(), node_.log(), me_, env_, domain::shipped_edition()} {}

private:
    Node node_;
    test::Person person_;
    store::Identity me_;
    FixedClock clock_;
    SystemRandom random_;
    node::Env env_;

public:
    node::Context context;
};

}  // namespace ladderline::bench
