#pragma once
// Lines between processes on the loopback that hurt what goes over them: connections are refused, and their bytes come
// late, stop, end early or come changed. Which connection is hurt how follows from a seed and the order of connections.

#include <cstddef>
#include <cstdint>
#include <memory>

namespace ladderline::soak {

struct FaultCounts {
    std::uint64_t connections = 0;
    std::uint64_t refused = 0;    // shut before a byte went over
    std::uint64_t delayed = 0;    // every piece waits, up to 200 ms
    std::uint64_t cut = 0;        // both directions end at once, between two pieces
    std::uint64_t truncated = 0;  // half of a piece, then the end
    std::uint64_t changed = 0;    // one bit
    std::uint64_t bytes = 0;

    std::uint64_t hurt() const { return refused + delayed + cut + truncated + changed; }
};

// Works in a thread of its own; every function may be called from the one that made it.
class FaultProxy {
public:
    explicit FaultProxy(std::uint64_t seed);
    ~FaultProxy();
    FaultProxy(const FaultProxy&) = delete;
    FaultProxy& operator=(const FaultProxy&) = delete;

    // A line more; its number counts from 0. It leads nowhere yet.
    std::size_t add_line();
    // Where the line is entered.
    std::uint16_t port(std::size_t line) const;
    // Where it ends; 0: nowhere, who calls is refused. What goes over it is cut.
    void lead_to(std::size_t line, std::uint16_t port);
    // From now on connections are hurt, or not; what goes over the lines is cut.
    void set_harmful(bool harmful);
    FaultCounts counts() const;

private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace ladderline::soak
