#pragma once
// What every command works on. Commands are what people do; pages and the command line both call them.

#include <filesystem>
#include <functional>

#include "node/app/env.hpp"
#include "node/domain/ladder/edition.hpp"
#include "node/read_models/circle_views.hpp"
#include "store/circles/known_states.hpp"
#include "store/identity/identity.hpp"
#include "store/upkeep/progress.hpp"

namespace ladderline::node {

struct Context {
    store::sqlite::Database& db;
    store::EventLog& log;
    const store::Identity& me;
    Env& env;
    const domain::Edition& edition;
    // What the events of this store make of its circles.
    store::KnownStates states{db};
    // Told after events of a circle were stored: the network sends them, open pages look again.
    std::function<void(const protocol::CircleId&)> news = [](const protocol::CircleId&) {};
    // Told how far long work is; false stops it. Inside a running node nothing is told.
    store::Progress going_on = {};
    // The store was opened unattended, which everybody who looks at it is told.
    bool opened_by_key_file = false;
    std::filesystem::path home = {};  // the store's own folder
    // Sees to it that the key file opens with the paper key's secret. Nothing to do where there is no key file.
    std::function<Result<void>(ByteView)> keep_paper_slot = [](ByteView) -> Result<void> { return ok(); };

    WallTime now() const { return env.clock.wall(); }
    Day today() const { return utc_day(now()); }
    // not_found if the circle is unknown here.
    Result<protocol::CircleState> state_of(const protocol::CircleId& circle) {
        TRY(const protocol::CircleState* state, states.of(circle));
        return *state;
    }
};

// What was done, as a sentence, and the event that says so.
struct Done {
    std::string sentence;
    protocol::EventId id;
};

// Stores one event, tells about it.
Result<protocol::EventId> say(Context& context, const protocol::CircleId& circle, std::uint16_t kind, Bytes payload,
                              std::vector<protocol::EventId> supersedes = {});

// The first circle of that kind that this node's owner is in (their own, for desk and path). not_found with a sentence
// that says how to get one.
Result<CircleView> own_circle(Context& context, protocol::CircleKind kind);
// The path of somebody whom this node's owner helps, or the own path for an empty name. Names match in part, any case;
// several matches are named in the error.
Result<CircleView> path_of(Context& context, std::string_view who);
// A present member of the circle by name, call sign or the first digits of their key.
Result<PersonView> find_person(Context& context, const protocol::CircleId& circle, std::string_view who);
Result<PersonView> myself(Context& context, const protocol::CircleId& circle);

}  // namespace ladderline::node
