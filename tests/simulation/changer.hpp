#pragma once
// Changes one field of anything that has a `serialize`, so that most of the time it still decodes: structure-aware
// fuzzing, field by field.

#include <limits>

#include "protocol/codec/archive.hpp"
#include "tests/simulation/dice.hpp"

namespace ladderline::simulation {

// Walks over a value twice: once to count its fields, once to change the one that was drawn.
class Changer {
public:
    explicit Changer(Dice& dice) : dice_(dice) {}

    template <class T>
    void change(T& value) {
        wanted_ = SIZE_MAX;
        at_ = 0;
        value.serialize(*this);
        if (at_ == 0) return;
        wanted_ = dice_.below(at_);
        at_ = 0;
        value.serialize(*this);
    }

    template <class... T>
    void operator()(T&&... values) {
        (visit(values), ...);
    }

private:
    bool is_it() { return at_++ == wanted_; }

    void visit(bool& v) {
        if (is_it()) v = !v;
    }
    template <class T>
    requires std::is_integral_v<T>
    void visit(T& v) {
        if (!is_it()) return;
        switch (dice_.below(5)) {
            case 0:
                v = static_cast<T>(v + 1);
                break;
            case 1:
                v = static_cast<T>(v - 1);
                break;
            case 2:
                v = 0;
                break;
            case 3:
                v = std::numeric_limits<T>::max();
                break;
            default:
                v = static_cast<T>(dice_.next() >> dice_.below(64));
        }
    }
    template <class T>
    requires std::is_enum_v<T>
    void visit(T& v) {
        if (is_it()) v = static_cast<T>(dice_.below(6));
    }
    void visit(WallTime& v) { visit(v.ms); }
    void visit(Day& v) { visit(v.number); }
    template <class Tag, std::size_t N>
    void visit(FixedBytes<Tag, N>& v) {
        if (!is_it()) return;
        if (dice_.chance(30)) {
            v = {};
        } else {
            v.data[dice_.below(N)] ^= static_cast<std::uint8_t>(1 + dice_.below(255));
        }
    }
    void visit(std::string& v) {
        if (is_it()) v.resize(dice_.below(v.size() + 1));
    }
    void visit(Bytes& v) {
        if (!is_it()) return;
        if (dice_.chance(30)) v.resize(dice_.below(v.size() + 8));
        if (!v.empty()) dice_.pick(v) ^= static_cast<std::uint8_t>(1 + dice_.below(255));
    }
    template <class T>
    void visit(std::optional<T>& v) {
        if (is_it()) {
            if (v) {
                v.reset();
            } else {
                v.emplace();
            }
        }
        if (v) visit(*v);
    }
    template <class T, std::size_t N>
    void visit(std::array<T, N>& v) {
        for (T& element : v) visit(element);
    }
    template <class T>
    void visit(std::vector<T>& v) {
        if (is_it()) change_list(v);
        for (T& element : v) visit(element);
    }
    template <std::size_t Max, class T>
    void visit(protocol::codec::Bounded<Max, T>& v) {
        visit(v.value);
        if constexpr (requires { v.value.resize(Max); }) {
            if (v.value.size() > Max) v.value.resize(Max);
        }
    }
    template <class T>
    requires requires(T& v, Changer& c) { v.serialize(c); }
    void visit(T& v) { v.serialize(*this); }

    template <class T>
    void change_list(std::vector<T>& v) {
        if (v.empty()) {
            v.emplace_back();
            return;
        }
        const std::size_t at = dice_.below(v.size());
        switch (dice_.below(4)) {
            case 0:
                v.erase(v.begin() + static_cast<std::ptrdiff_t>(at));
                break;
            case 1:
                v.push_back(T(v[at]));
                break;
            case 2:
                std::swap(v[at], v[dice_.below(v.size())]);
                break;
            default:
                v.resize(at);
        }
    }

    Dice& dice_;
    std::size_t wanted_ = SIZE_MAX;
    std::size_t at_ = 0;
};

}  // namespace ladderline::simulation
