#pragma once
// What a circle says of its couriers.

#include <string>

#include "protocol/event/event.hpp"

namespace ladderline::protocol {

// Event kind 36: this courier keeps the circle's sealed events, or no longer does. A register for each `noise`: the
// latest one by somebody who may bring the circle a new key stands. See store/courier/courier_model.hpp for which
// count.
struct CourierBody {
    std::string address;  // host:port
    DhPublic noise;
    SignPublic signing;
    std::uint64_t quota_bytes = 0;
    std::uint32_t days = 0;  // without a visit, before the courier removes everything
    bool withdrawn = false;

    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<limits::name_bytes_max>(address), noise, signing, quota_bytes, days, withdrawn);
    }
    bool operator==(const CourierBody&) const = default;
};

}  // namespace ladderline::protocol
