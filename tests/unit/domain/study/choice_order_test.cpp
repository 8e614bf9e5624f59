#include "node/domain/study/choice_order.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <string>

using namespace ladderline::domain;

namespace {

ChoiceTexts fourth(const std::string& choice) {
    return {"A red lamp", "A green lamp", "A blue lamp", choice};
}

PoolQuestion question(const ChoiceTexts& choices, int key) {
    PoolQuestion question;
    question.id = "Q1A01";
    question.stem = "Which lamp?";
    question.choices = choices;
    question.key = key;
    return question;
}

}  // namespace

TEST_CASE("a last choice that speaks of all the others stays last") {
    for (const char* choice :
         {"All these choices are correct", "All of the above", "None of these choices is correct",
          "Any of these choices", "All these answers are correct", "Each of these choices", "all of these",
          "None of the other answers", "All choices are correct", "These choices are all correct", "All are correct.",
          "None is correct", "None of the preceding options", "ALL OF THE ABOVE",
          "\xE2\x80\x9C"
          "All of the above\xE2\x80\x9D",
          "None of these choices is correct; lamps cannot be blue"}) {
        CAPTURE(std::string(choice));
        CHECK(choice_class("Which lamp?", fourth(choice)) == ChoiceClass::last_stays);
    }
}

TEST_CASE("a choice that names others by letter or place fixes the order") {
    for (const char* choice :
         {"Both A and B", "A and C only", "Choices A and B are both correct", "Neither A nor B", "A, B, and C",
          "Both of these choices", "Either of the above", "A or B", "Only choices C and D", "All but A",
          "All except B and C", "Any two of these", "One of the other answers", "A & B", "Choice B", "(A and B)"}) {
        CAPTURE(std::string(choice));
        CHECK(choice_class("Which lamp?", fourth(choice)) == ChoiceClass::fixed);
    }
}

TEST_CASE("letters and the word all in plain answers do not hinder shuffling") {
    for (const char* choice :
         {"The D and E regions", "Class A and Class C amplifiers", "All modes above 50 MHz",
          "All amateur stations within 100 km", "A and E fields at right angles", "AC and DC",
          "All of the antenna's elements", "All of the antenna\xE2\x80\x99s elements",
          "None of the energy is reflected", "D layer and E layer", "B", "Both ends of the line", "Any other lamp"}) {
        CAPTURE(std::string(choice));
        CHECK(choice_class("Which lamp?", fourth(choice)) == ChoiceClass::shuffle);
    }
}

TEST_CASE("a choice that speaks of all the others fixes the order where it is not last, or where there are two") {
    CHECK(choice_class("?", {"All of the above", "A red lamp", "A green lamp", "A blue lamp"}) == ChoiceClass::fixed);
    CHECK(choice_class("?", {"A red lamp", "A green lamp", "All of these", "None of these"}) == ChoiceClass::fixed);
}

TEST_CASE("a stem that names a choice by letter fixes the order") {
    CHECK(choice_class("Why is answer B wrong?", fourth("A black lamp")) == ChoiceClass::fixed);
    CHECK(choice_class("Which of the options A to C fits?", fourth("A black lamp")) == ChoiceClass::fixed);
}

TEST_CASE("an answer to a call is no answer A") {
    CHECK(choice_class("How do you answer a call?", fourth("A black lamp")) == ChoiceClass::shuffle);
    CHECK(choice_class("Which choice\xE2\x80\x94"
                       "a lamp or none?",
                       fourth("A black lamp")) == ChoiceClass::shuffle);
}

TEST_CASE("a showing is a permutation that knows where the right choice went") {
    SplitMix64 generator(5);
    const PoolQuestion lamp = question(fourth("A black lamp"), 2);
    for (int n = 0; n < 100; ++n) {
        const QuestionShowing showing = draw_showing(lamp, generator);
        CHECK(showing.question == "Q1A01");
        CHECK(std::set<int>(showing.order.begin(), showing.order.end()) == std::set<int>{0, 1, 2, 3});
        CHECK(showing.order[showing.right_place] == 2);
    }
}

TEST_CASE("a choice that stays last is last in every showing, and the others take all six orders") {
    SplitMix64 generator(5);
    std::set<std::array<std::uint8_t, 4>> orders;
    for (int n = 0; n < 200; ++n) orders.insert(draw_showing(question(fourth("All of these"), 3), generator).order);
    CHECK(orders.size() == 6);
    for (const auto& order : orders) CHECK(order[3] == 3);
}

TEST_CASE("a fixed question is shown as it is printed") {
    SplitMix64 generator(5);
    for (int n = 0; n < 20; ++n) {
        const QuestionShowing showing = draw_showing(question(fourth("Both A and B"), 1), generator);
        CHECK(showing.order == std::array<std::uint8_t, 4>{0, 1, 2, 3});
        CHECK(showing.right_place == 1);
    }
}

TEST_CASE("the same seed shows the same order") {
    SplitMix64 one(77);
    SplitMix64 other(77);
    for (int n = 0; n < 20; ++n) {
        CHECK(draw_showing(question(fourth("x"), 0), one) == draw_showing(question(fourth("x"), 0), other));
    }
}
