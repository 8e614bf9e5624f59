#include "node/web/multipart.hpp"

#include <doctest/doctest.h>

using namespace ladderline;
using namespace ladderline::node::web;

namespace {

// A form as browsers write it, with the boundary "x1".
const std::string type = "multipart/form-data; boundary=x1";

std::string part(const std::string& head, const std::string& content) {
    return "--x1\r\nContent-Disposition: form-data; " + head + "\r\n\r\n" + content + "\r\n";
}
const std::string end = "--x1--\r\n";

Multipart read(const std::string& body) {
    auto out = parse_multipart(type, body);
    REQUIRE(out.has_value());
    return std::move(out).value();
}

}  // namespace

TEST_CASE("A form with a text and a file is read") {
    const Multipart form =
        read(part("name=\"csrf\"", "55") +
             part("name=\"file\"; filename=\"a.txt\"\r\nContent-Type: text/plain", "one\r\ntwo") + end);
    CHECK(form.fields.get("csrf") == "55");
    REQUIRE(form.files.size() == 1);
    CHECK(form.files[0].field == "file");
    CHECK(form.files[0].name == "a.txt");
    CHECK(form.files[0].bytes == "one\r\ntwo");
}

TEST_CASE("A file is bytes: NUL, broken UTF-8 and almost the boundary stay as they are") {
    const std::string bytes = std::string("\0\xff\r\n--x", 7) + "\r\n-x1--";
    CHECK(read(part("name=\"f\"; filename=\"a\"", bytes) + end).files[0].bytes == bytes);
}

TEST_CASE("A file field that was left empty brings no file") {
    CHECK(read(part("name=\"f\"; filename=\"\"\r\nContent-Type: application/octet-stream", "") + end).files.empty());
}

TEST_CASE("Quotes and line breaks in names are read as browsers write them") {
    CHECK(read(part("name=\"f\"; filename=\"my %22log%22;%0D%0A.adi\"", "x") + end).files[0].name ==
          "my \"log\";\r\n.adi");
}

TEST_CASE("The boundary may stand in quotes, and the header in any case") {
    CHECK(brings_files("Multipart/Form-Data; boundary=x1"));
    const auto form = parse_multipart("Multipart/Form-Data; charset=utf-8; Boundary=\"x1\"", part("name=a", "1") + end);
    REQUIRE(form.has_value());
    CHECK(form.value().fields.get("a") == "1");
}

TEST_CASE("Other kinds of body bring no files") {
    for (const char* other :
         {"", "application/x-www-form-urlencoded", "multipart/mixed; boundary=x1", "multipart/form-dat"}) {
        CHECK_FALSE(brings_files(other));
    }
}

TEST_CASE("A form that is cut anywhere is refused whole") {
    const std::string whole = part("name=\"a\"", "1") + part("name=\"f\"; filename=\"b\"", "data") + "--x1--";
    REQUIRE(parse_multipart(type, whole).has_value());
    for (std::size_t length = 0; length < whole.size(); ++length) {
        CAPTURE(length);
        CHECK_FALSE(parse_multipart(type, std::string_view(whole).substr(0, length)).has_value());
    }
}

TEST_CASE("A form without a usable boundary is refused") {
    const std::string body = part("name=\"a\"", "1") + end;
    for (const char* bad : {"multipart/form-data", "multipart/form-data; boundary=",
                            "multipart/form-data; boundary=\"x1", "multipart/form-data; boundary=x2"}) {
        CHECK_FALSE(parse_multipart(bad, body).has_value());
    }
    CHECK_FALSE(parse_multipart("multipart/form-data; boundary=" + std::string(71, 'b'), body).has_value());
}

TEST_CASE("A part without a name is refused") {
    CHECK_FALSE(parse_multipart(type, part("filename=\"b\"", "x") + end).has_value());
}

TEST_CASE("A text that is no UTF-8 or holds NUL is refused") {
    CHECK_FALSE(parse_multipart(type, part("name=\"a\"", "\xff") + end).has_value());
    CHECK_FALSE(parse_multipart(type, part("name=\"a\"", std::string(1, '\0')) + end).has_value());
}

TEST_CASE("A file at the bound is taken, one byte more is refused with the bound") {
    FormLimits limits;
    limits.file_bytes_max = 2U << 20;
    const std::string head = "name=\"f\"; filename=\"b\"";
    CHECK(parse_multipart(type, part(head, std::string(limits.file_bytes_max, 'x')) + end, limits).has_value());
    const auto refused = parse_multipart(type, part(head, std::string(limits.file_bytes_max + 1, 'x')) + end, limits);
    REQUIRE_FALSE(refused.has_value());
    CHECK(refused.error().sentence().find("larger than 2 MB") != std::string::npos);
}

TEST_CASE("More files or fields than fit are refused") {
    FormLimits limits;
    limits.files_max = 1;
    limits.fields_max = 1;
    const std::string file = part("name=\"f\"; filename=\"b\"", "x");
    const std::string field = part("name=\"a\"", "1");
    CHECK(parse_multipart(type, file + field + end, limits).has_value());
    CHECK_FALSE(parse_multipart(type, file + file + end, limits).has_value());
    CHECK_FALSE(parse_multipart(type, field + field + end, limits).has_value());
}
