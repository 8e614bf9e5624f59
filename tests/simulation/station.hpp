#pragma once
// Whoever takes part in a network: a member's node, or somebody who holds events without a key.

#include <string>

#include "protocol/sync/log_view.hpp"

namespace ladderline::simulation {

class KeptCourier;
class Node;

class Station {
public:
    explicit Station(std::string name) : name_(std::move(name)) {}
    virtual ~Station() = default;
    Station(const Station&) = delete;
    Station& operator=(const Station&) = delete;

    const std::string& name() const { return name_; }
    virtual bool is_up() const = 0;
    // Precondition: is_up().
    virtual protocol::LogView& view() = 0;
    // None for a courier.
    virtual Node* member() { return nullptr; }
    // None but for a courier with a store.
    virtual KeptCourier* keeper() { return nullptr; }

private:
    std::string name_;
};

}  // namespace ladderline::simulation
