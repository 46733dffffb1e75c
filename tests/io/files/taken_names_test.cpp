#include "io/files/taken_names.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// Two files and a folder that were made, and what stands at their names.
class TakenNames : public testing::Test {
 protected:
  TakenNames() {
    fs::create_directory(made_);
    fs::create_directory(made_ / "folder");
    home_.write("made/one", "1");
    home_.write("made/two", "2");
    home_.write("made/folder/file", "3");
  }
  fs::path at(const char* name) const { return home_.path() / name; }
  static std::string content(const fs::path& file) {
    std::ifstream in(file);
    return {std::istreambuf_iterator<char>(in), {}};
  }
  /// The sentence with which it fails.
  static std::string refused(const std::vector<NewName>& names) {
    try {
      take_names(names);
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  }

  const ReaderFolder home_;
  const fs::path made_ = home_.path() / "made";
};

TEST_F(TakenNames, AreTaken) {
  take_names({{made_ / "one", at("a")}, {made_ / "folder", at("f")}, {made_ / "two", at("b"), true}});
  EXPECT_EQ(content(at("a")) + content(at("b")) + content(at("f") / "file"), "123");
  EXPECT_TRUE(fs::is_empty(made_));
}

TEST_F(TakenNames, NothingIsReplacedUnasked) {
  home_.write("a", "old");
  fs::create_directory(at("f"));
  fs::create_symlink("nowhere", at("link"));
  const std::string sentence = refused({{made_ / "one", at("a")}});
  EXPECT_NE(sentence.find("a: has come to be since this began"), std::string::npos) << sentence;
  EXPECT_NE(refused({{made_ / "folder", at("f")}}), "") << "not even an empty folder";
  EXPECT_NE(refused({{made_ / "one", at("f")}}), "");
  EXPECT_NE(refused({{made_ / "folder", at("a")}}), "");
  EXPECT_NE(refused({{made_ / "one", at("link")}}), "");
  EXPECT_EQ(content(at("a")), "old");
  EXPECT_EQ(content(made_ / "one"), "1");
}

TEST_F(TakenNames, AreTakenAllOrNone) {
  home_.write("a", "old");
  home_.write("there", "mine");
  const std::string sentence =
      refused({{made_ / "one", at("a"), true}, {made_ / "folder", at("f")}, {made_ / "two", at("there")}});
  EXPECT_EQ(sentence.find("written already"), std::string::npos) << sentence;
  EXPECT_EQ(content(at("a")), "old");
  EXPECT_FALSE(fs::exists(at("f")));
  EXPECT_EQ(content(at("there")), "mine");
  EXPECT_EQ(content(made_ / "two"), "2");
}

TEST_F(TakenNames, AFolderIsExchanged) {
  fs::create_directory(at("f"));
  home_.write("f/file", "old");
  take_names({{made_ / "folder", at("f"), true}});
  EXPECT_EQ(content(at("f") / "file"), "3");
  EXPECT_EQ(content(made_ / "folder" / "file"), "old");
  ASSERT_NE(refused({{made_ / "folder", at("f"), true}, {made_ / "absent", at("b")}}), "");
  EXPECT_EQ(content(at("f") / "file"), "3") << "it was not given back";
  EXPECT_TRUE(exchange_names(at("f"), made_ / "folder"));
  EXPECT_EQ(content(at("f") / "file"), "old");
  EXPECT_FALSE(exchange_names(at("f"), at("absent")));
}

}  // namespace
}  // namespace wainscot
