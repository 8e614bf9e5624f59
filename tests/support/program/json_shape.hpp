#pragma once
// The part of JSON Schema that answers.schema.json is written in: type, enum, pattern, required, properties, items,
// anyOf, and $ref into the same file. A keyword that is none of these is a fault of the schema.

#include <nlohmann/json.hpp>
#include <string>

namespace ladderline::test {

class JsonShape {
public:
    explicit JsonShape(nlohmann::json schema) : schema_(std::move(schema)) {}

    // Where and why the value is not as that definition says; empty if it is.
    std::string trouble(const nlohmann::json& value, const std::string& definition) const;

private:
    std::string look(const nlohmann::json& value, const nlohmann::json& shape, const std::string& place) const;
    std::string look_at_members(const nlohmann::json& value, const nlohmann::json& shape,
                                const std::string& place) const;

    nlohmann::json schema_;
};

}  // namespace ladderline::test
