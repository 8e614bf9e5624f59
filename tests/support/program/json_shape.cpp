#include "tests/support/program/json_shape.hpp"

#include <algorithm>
#include <regex>
#include <stdexcept>

namespace ladderline::test {

using nlohmann::json;

namespace {

bool is_of_type(const json& value, const std::string& type) {
    if (type == "string") return value.is_string();
    if (type == "integer") return value.is_number_integer();
    if (type == "number") return value.is_number();
    if (type == "boolean") return value.is_boolean();
    if (type == "array") return value.is_array();
    if (type == "object") return value.is_object();
    if (type == "null") return value.is_null();
    throw std::runtime_error("no type " + type + " is known");
}

void check_keywords(const json& shape) {
    for (const auto& [name, unused] : shape.items()) {
        const bool known = name == "type" || name == "enum" || name == "pattern" || name == "required" ||
                           name == "properties" || name == "items" || name == "anyOf" || name == "$ref";
        if (!known) throw std::runtime_error("the keyword " + name + " is not understood here");
    }
}

}  // namespace

std::string JsonShape::trouble(const json& value, const std::string& definition) const {
    return look(value, schema_.at("$defs").at(definition), definition);
}

std::string JsonShape::look(const json& value, const json& shape, const std::string& place) const {
    check_keywords(shape);
    if (shape.contains("$ref")) {
        const std::string name = shape["$ref"].get<std::string>().substr(std::string("#/$defs/").size());
        return look(value, schema_.at("$defs").at(name), place);
    }
    if (shape.contains("anyOf")) {
        std::string last;
        for (const json& one : shape["anyOf"]) {
            last = look(value, one, place);
            if (last.empty()) return {};
        }
        return last;
    }
    if (shape.contains("type") && !is_of_type(value, shape["type"])) return place + " is no " + shape["type"].dump();
    if (shape.contains("enum") && std::find(shape["enum"].begin(), shape["enum"].end(), value) == shape["enum"].end()) {
        return place + " is " + value.dump() + ", which is none of " + shape["enum"].dump();
    }
    if (shape.contains("pattern") &&
        !std::regex_search(value.get<std::string>(), std::regex(shape["pattern"].get<std::string>()))) {
        return place + " is " + value.dump();
    }
    return look_at_members(value, shape, place);
}

std::string JsonShape::look_at_members(const json& value, const json& shape, const std::string& place) const {
    const json required = shape.value("required", json::array());
    for (const json& name : required) {
        if (!value.contains(name.get<std::string>())) return place + " lacks " + name.dump();
    }
    const json properties = shape.value("properties", json::object());
    for (const auto& [name, member] : properties.items()) {
        if (!value.contains(name)) continue;
        const std::string found = look(value.at(name), member, place + "." + name);
        if (!found.empty()) return found;
    }
    if (!shape.contains("items")) return {};
    for (std::size_t i = 0; i < value.size(); ++i) {
        const std::string found = look(value.at(i), shape["items"], place + "[" + std::to_string(i) + "]");
        if (!found.empty()) return found;
    }
    return {};
}

}  // namespace ladderline::test
