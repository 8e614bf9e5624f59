#pragma once
// The keys that a reader of bundles has, given by hand.

#include "protocol/event/event.hpp"
#include "protocol/sync/bundle.hpp"

namespace ladderline::test {

struct GivenKeys : protocol::BundleKeys {
    std::optional<protocol::AeadKey> circle_key(const protocol::KeyId& key) override {
        if (!epoch || protocol::id_of_key(*epoch) != key) return std::nullopt;
        return epoch->clone();
    }
    std::optional<protocol::AeadKey> open_box(const protocol::KeyId& key, const protocol::BundleBox& box) override {
        if (!device || protocol::name_of_box_key(device->pub) != key) return std::nullopt;
        const auto secret = protocol::open_box(box.view(), *device);
        if (!secret) return std::nullopt;
        return protocol::AeadKey::copy_of(secret.value().view());
    }

    std::optional<protocol::AeadKey> epoch;
    std::optional<protocol::DhKeys> device;
};

}  // namespace ladderline::test
