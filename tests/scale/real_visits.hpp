#pragma once
// The production objects beside the model: Visitor, Attendant and the sessions in them carry the same events between
// the same people, message by message as they are encoded. Events have ids, salts, signatures and sealed bodies of the
// right length that nobody looks into: bytes and trips are true, the checking of an event's signature is left out (it
// is measured apart). Access claims and receipts are signed and checked.

#include <map>
#include <memory>

#include "tests/scale/club.hpp"

namespace ladderline::scale {

// Of one kind of visit: how the model did.
struct Agreement {
    std::uint64_t visits = 0;
    std::uint64_t modelled_bytes = 0;
    std::uint64_t real_bytes = 0;
    std::uint64_t most_bytes_off = 0;  // of one visit
    double most_share_off = 0;         // of one visit's bytes beyond those of an equal one
    double cpu_s = 0;                  // both sides together, if a clock was given
    std::uint64_t messages = 0;
};

class RealVisits : public Witness {
public:
    // Of visits that find nothing new since the last one, one in so many is carried out.
    RealVisits(const Club& club, std::uint64_t seed, std::uint32_t one_in, double (*cpu_s)() = nullptr);
    ~RealVisits() override;

    void seated(std::uint32_t seat, bool from_start) override;
    void wrote(std::uint32_t seat) override;
    void visited(std::uint32_t seat, std::uint32_t courier, VisitKind kind, const Bytes2& modelled,
                 const Difference& difference) override;

    const std::map<VisitKind, Agreement>& agreement() const { return agreement_; }
    // Visits after which the two sides did not hold what the model says, or that did not end in step.
    std::uint64_t disagreements() const { return disagreements_; }
    double worst_formula() const { return worst_formula_; }

private:
    struct Store;
    class View;
    class Book;
    struct Post;  // a courier
    struct Said {
        Bytes2 bytes;
        std::uint64_t messages = 0;
        bool in_step = false;
    };

    Said carry(std::uint32_t seat, std::uint32_t courier, bool is_cut);
    View& courier_view(std::uint32_t circle, std::uint32_t courier);
    bool holds_as_modelled(const View& view, const Holding& holding) const;

    const Club& club_;
    Dice dice_;
    std::uint32_t one_in_;
    double (*cpu_s_)();
    std::uint64_t idle_ = 0;
    std::vector<std::unique_ptr<Store>> stores_;  // of devices
    std::vector<std::unique_ptr<View>> views_;    // of seats
    std::vector<std::unique_ptr<Post>> couriers_;
    std::vector<std::uint64_t> last_same_;  // of a seat and courier: the hash at the last visit that was carried out
    protocol::AeadKey key_;
    std::map<VisitKind, Agreement> agreement_;
    std::uint64_t equal_bytes_ = 0;
    std::uint64_t disagreements_ = 0;
    double worst_formula_ = 0;
};

}  // namespace ladderline::scale
