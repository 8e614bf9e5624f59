#pragma once
// A random source that gives exactly the bytes it was told to, in order; asking for more is a mistake in the test.

#include "protocol/base/random.hpp"

namespace ladderline::test {

class GivenRandom : public Random {
public:
    explicit GivenRandom(Bytes bytes) : bytes_(std::move(bytes)) {}

    void fill(MutableByteView out) override {
        ENSURE(out.size() <= bytes_.size() - used_);
        std::copy_n(bytes_.begin() + static_cast<std::ptrdiff_t>(used_), out.size(), out.begin());
        used_ += out.size();
    }

private:
    Bytes bytes_;
    std::size_t used_ = 0;
};

}  // namespace ladderline::test
