#pragma once
// The goings of one member: removals, lost devices, and what undoes them. Part of the fold (fold.cpp); events are
// positions in its order.

#include <vector>

#include "protocol/circle/acts.hpp"
#include "protocol/circle/bits.hpp"

namespace ladderline::protocol {

class Goings {
public:
    // In the fold's order, of one member all.
    void add_removal(std::size_t i, const std::vector<Bits>& past);
    void add_revocation(std::size_t i);
    void add_extension(std::size_t i, const std::vector<Bits>& past);
    void add_comeback(std::size_t i, const std::vector<Bits>& past);

    // Writes the member's presence into the state, and which devices are lost; at event `i`. True if the member is
    // present.
    bool settle(CircleState& state, const MemberId& member, std::size_t i, const std::vector<Act>& acts,
                const std::vector<Bits>& past);
    std::size_t settled_at() const { return settled_at_; }
    // Writes how far the words of the member and of the lost devices count. After settle; of two members whose a device
    // is said to be the one goes last who was settled last.
    void write_cuts(CircleState& state, const MemberId& member, const std::vector<Act>& acts) const;

private:
    void write_leaving(Member& entry, const std::vector<Act>& acts, const std::vector<Bits>& past) const;

    std::vector<std::size_t> in_force_;     // removals that no later removal, made after a return, has replaced
    std::vector<std::size_t> revocations_;  // all of them, for good
    std::vector<std::size_t> extensions_;   // that know of all removals in force and of all revocations
    std::vector<std::size_t> comebacks_;    // that no later removal knew of
    bool is_back_ = true;                   // by a comeback that knows of all removals, or by no removal at all
    std::size_t revocations_written_ = 0;
    std::size_t settled_at_ = 0;
};

}  // namespace ladderline::protocol
