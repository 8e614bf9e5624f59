#pragma once
// A person with the keys of one device.

#include <string>

#include "protocol/circle/bodies.hpp"

namespace ladderline::test {

struct Person {
    std::string name;
    protocol::SignKeys identity;
    protocol::SignKeys device;
    protocol::DhKeys noise;
    protocol::DhKeys box;

    protocol::MemberId id() const { return protocol::MemberId{identity.pub.data}; }
    protocol::DeviceId device_id() const { return protocol::DeviceId{device.pub.data}; }
    protocol::DeviceCertificate certificate() const {
        return protocol::certify(identity, device, noise.pub, box.pub, name + "'s node");
    }
};

inline Person make_person(std::string name, Random& random) {
    return {std::move(name), protocol::make_sign_keys(random), protocol::make_sign_keys(random),
            protocol::make_dh_keys(random), protocol::make_dh_keys(random)};
}

// The same person with keys of another device.
inline Person second_device(const Person& person, Random& random) {
    return {person.name,
            {person.identity.pub, person.identity.secret.clone()},
            protocol::make_sign_keys(random),
            protocol::make_dh_keys(random),
            protocol::make_dh_keys(random)};
}

}  // namespace ladderline::test
