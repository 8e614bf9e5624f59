#include "protocol/codec/archive.hpp"

#include <doctest/doctest.h>

#include <list>
#include <map>
#include <memory>

#include "tests/support/protocol/seeded_random.hpp"

using namespace ladderline;
using namespace ladderline::protocol;

namespace {

enum class Choice : std::uint8_t { one = 1, two = 2, far = 200 };
constexpr bool is_known(Choice c) {
    return c == Choice::one || c == Choice::two || c == Choice::far;
}

template <class T>
struct Holder {
    T value{};
    template <class Archive>
    void serialize(Archive& ar) {
        ar(value);
    }
};

struct Short {
    std::string text;
    std::vector<std::uint16_t> list;
    Bytes bytes;
    template <class Archive>
    void serialize(Archive& ar) {
        ar(codec::bounded<3>(text), codec::bounded<2>(list), codec::bounded<4>(bytes));
    }
};

struct Mixed {
    std::uint64_t number = 0;
    std::int16_t small = 0;
    Choice choice = Choice::one;
    std::optional<std::string> text;
    std::vector<std::uint32_t> list;
    Bytes bytes;
    bool flag = false;
    template <class Archive>
    void serialize(Archive& ar) {
        ar(number, small, choice, text, list, bytes, flag);
    }
};

Bytes hex(std::string_view text) {
    return from_hex(text).value();
}

template <class T>
std::string encoded(T value) {
    return to_hex(codec::encode(Holder<T>{std::move(value)}));
}

template <class T>
std::string refusal(std::string_view bytes) {
    const auto result = codec::decode<Holder<T>>(hex(bytes));
    return result ? "" : result.error().sentence();
}

template <class T>
T decoded(std::string_view bytes) {
    return codec::decode<Holder<T>>(hex(bytes)).value().value;
}

}  // namespace

TEST_CASE("numbers travel in the shortest groups of seven bits, low group first") {
    CHECK(encoded<std::uint16_t>(0) == "00");
    CHECK(encoded<std::uint16_t>(127) == "7f");
    CHECK(encoded<std::uint16_t>(128) == "8001");
    CHECK(encoded<std::uint32_t>(300) == "ac02");
    CHECK(encoded<std::uint64_t>(UINT64_MAX) == "ffffffffffffffffff01");
    CHECK(decoded<std::uint64_t>("ffffffffffffffffff01") == UINT64_MAX);
}

TEST_CASE("signed numbers travel as zigzag") {
    CHECK(encoded<std::int32_t>(0) == "00");
    CHECK(encoded<std::int32_t>(-1) == "01");
    CHECK(encoded<std::int32_t>(1) == "02");
    CHECK(encoded<std::int64_t>(INT64_MIN) == "ffffffffffffffffff01");
    CHECK(decoded<std::int64_t>("ffffffffffffffffff01") == INT64_MIN);
    CHECK(decoded<std::int64_t>("feffffffffffffffff01") == INT64_MAX);
    CHECK(encoded(WallTime{-2}) == "03");
    CHECK(encoded(Day{2}) == "04");
}

TEST_CASE("an 8-bit number is one plain byte") {
    CHECK(encoded<std::uint8_t>(200) == "c8");
    CHECK(decoded<std::uint8_t>("ff") == 255);
}

TEST_CASE("a number that could be written shorter is refused") {
    for (const std::string_view bytes : {"8000", "818000", "ff00", "80808080808080808000"}) {
        CAPTURE(bytes);
        CHECK(refusal<std::uint64_t>(bytes) == "Bytes that cannot be read: a number is not in its shortest form.");
    }
}

TEST_CASE("a number beyond its type is refused") {
    CHECK(refusal<std::uint64_t>("ffffffffffffffffff02") == "Bytes that cannot be read: a number is out of range.");
    CHECK(refusal<std::uint64_t>("ffffffffffffffffffff01") == "Bytes that cannot be read: a number is out of range.");
    CHECK(refusal<std::uint16_t>("808004") == "Bytes that cannot be read: a number is out of range.");
    CHECK(refusal<std::uint32_t>("8080808010") == "Bytes that cannot be read: a number is out of range.");
    CHECK(refusal<std::int32_t>("8080808010") == "Bytes that cannot be read: a number is out of range.");
    CHECK(refusal<Day>("8080808010") == "Bytes that cannot be read: a number is out of range.");
}

TEST_CASE("a yes or no is one byte, 0 or 1") {
    CHECK(encoded(true) == "01");
    CHECK(decoded<bool>("00") == false);
    CHECK(refusal<bool>("02") == "Bytes that cannot be read: a yes or no is neither.");
    CHECK(refusal<std::optional<std::uint8_t>>("0205") == "Bytes that cannot be read: a yes or no is neither.");
}

TEST_CASE("an absent value is one zero byte") {
    CHECK(encoded(std::optional<std::uint16_t>()) == "00");
    CHECK(encoded(std::optional<std::uint16_t>(300)) == "01ac02");
    CHECK(refusal<std::optional<std::uint8_t>>("0005") == "Bytes that cannot be read: bytes are left over.");
}

TEST_CASE("a choice that this program does not know is refused") {
    CHECK(encoded(Choice::two) == "02");
    CHECK(encoded(Choice::far) == "c801");
    CHECK(decoded<Choice>("c801") == Choice::far);
    for (const std::string_view bytes : {"00", "03", "8102", "c803"}) {
        CAPTURE(bytes);
        CHECK(refusal<Choice>(bytes) == "Bytes that cannot be read: an unknown choice.");
    }
}

TEST_CASE("a text is its length and well-formed UTF-8") {
    CHECK(encoded(std::string("h\u00e9")) == "0368c3a9");
    for (const std::string_view bytes : {"01ff", "02c080", "03eda080", "04f4908080", "01c3"}) {
        CAPTURE(bytes);
        CHECK(refusal<std::string>(bytes) == "Bytes that cannot be read: a text is not UTF-8.");
    }
    CHECK(decoded<std::string>("0100") == std::string(1, '\0'));
}

TEST_CASE("bytes may be any bytes") {
    CHECK(encoded(Bytes{0xFF, 0x00}) == "02ff00");
    CHECK(decoded<Bytes>("02ff00") == Bytes{0xFF, 0x00});
}

TEST_CASE("a length larger than what follows is refused before memory is taken") {
    const std::string_view too_long = "Bytes that cannot be read: a length is larger than what follows.";
    CHECK(refusal<std::string>("ffffffffffffffff7f61") == too_long);
    CHECK(refusal<Bytes>("ffffffffffffffffff01") == too_long);
    CHECK(refusal<std::vector<std::uint64_t>>("ffffffffffffff7f00") == too_long);
    CHECK(refusal<std::vector<std::string>>("0200") == too_long);
}

TEST_CASE("a list beyond its bound is refused by its count, before its elements are read") {
    const std::string_view too_long = "Bytes that cannot be read: a list or text is too long.";
    const auto refused = [](std::string_view bytes) { return codec::decode<Short>(hex(bytes)).error().sentence(); };
    CHECK(refused("0461626364"
                  "00"
                  "00") == too_long);
    // The third element is not even a number in its shortest form.
    CHECK(refused("00"
                  "03"
                  "0101"
                  "8000"
                  "00") == too_long);
    CHECK(refused("00"
                  "00"
                  "05"
                  "0102030405") == too_long);
    CHECK(codec::decode<Short>(hex("03616263"
                                   "020102"
                                   "0401020304"))
              .has_value());
}

TEST_CASE("bytes that are left over are refused") {
    CHECK(refusal<std::uint8_t>("0100") == "Bytes that cannot be read: bytes are left over.");
    CHECK(refusal<std::string>("016100") == "Bytes that cannot be read: bytes are left over.");
}

TEST_CASE("an end that comes too early is refused") {
    CHECK(refusal<std::uint8_t>("") == "Bytes that cannot be read: the end comes too early.");
    CHECK(refusal<std::uint64_t>("80") == "Bytes that cannot be read: the end comes too early.");
    CHECK(refusal<FixedBytes<struct SomeTag, 4>>("010203") == "Bytes that cannot be read: the end comes too early.");
}

TEST_CASE("an identifier is its bytes alone") {
    CHECK(encoded(FixedBytes<struct SomeTag, 3>{{1, 2, 3}}) == "010203");
}

TEST_CASE("a time or a day outside the years 1 to 9999 is refused, so that nobody's arithmetic overflows") {
    for (const std::int32_t day : {-719'162, 0, 2'932'896}) {
        CHECK(codec::decode<Day>(codec::encode(Day{day})).value() == Day{day});
        CHECK(codec::decode<WallTime>(codec::encode(start_of(Day{day}))).value() == start_of(Day{day}));
    }
    for (const std::int32_t day : {-719'163, 2'932'897, INT32_MIN, INT32_MAX}) {
        CHECK_FALSE(codec::decode<Day>(codec::encode(Day{day})));
        CHECK_FALSE(codec::decode<WallTime>(codec::encode(start_of(Day{day}))));
    }
    CHECK_FALSE(codec::decode<WallTime>(codec::encode(WallTime{INT64_MIN})));
}

TEST_CASE("what the encoding does not define does not compile") {
    using cereal::traits::is_input_serializable;
    using cereal::traits::is_output_serializable;
    using codec::Reader;
    using codec::Writer;
    CHECK(is_output_serializable<std::uint32_t, Writer>::value);
    CHECK(is_input_serializable<std::uint32_t, Reader>::value);
    CHECK_FALSE(is_output_serializable<double, Writer>::value);
    CHECK_FALSE(is_input_serializable<float, Reader>::value);
    CHECK_FALSE(is_output_serializable<std::map<int, int>, Writer>::value);
    CHECK_FALSE(is_output_serializable<std::list<int>, Writer>::value);
    CHECK_FALSE(is_output_serializable<std::unique_ptr<int>, Writer>::value);
    CHECK_FALSE(is_input_serializable<std::shared_ptr<int>, Reader>::value);
    CHECK_FALSE(is_output_serializable<int*, Writer>::value);
}

TEST_CASE("random bytes that decode encode to the same bytes again") {
    test::SeededRandom random(1);
    std::size_t read = 0;
    for (int round = 0; round < 20'000; ++round) {
        Bytes bytes(7 + random.next() % 4);  // seven is the least that a value takes
        for (std::uint8_t& b : bytes) b = static_cast<std::uint8_t>(random.next() % (random.next() % 8 == 0 ? 256 : 3));
        const auto value = codec::decode<Mixed>(bytes);
        if (!value) continue;
        ++read;
        REQUIRE(to_hex(codec::encode(value.value())) == to_hex(bytes));
    }
    CHECK(read > 100);
}
