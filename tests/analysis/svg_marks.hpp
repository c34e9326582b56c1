#pragma once

#include <boost/property_tree/ptree.hpp>
#include <boost/property_tree/xml_parser.hpp>
#include <map>
#include <sstream>
#include <string>
#include <vector>

/// The elements of an SVG text, as a strict reader of XML sees them.
namespace thumblight::test {

struct Mark {
  std::string element;
  std::map<std::string, std::string> attributes;
  std::string text;

  std::string kind() const {
    const auto found = attributes.find("class");
    return found == attributes.end() ? "" : found->second;
  }
  double number(const std::string& key) const { return std::stod(attributes.at(key)); }
};

inline void collect(const boost::property_tree::ptree& tree, std::vector<Mark>& marks) {
  for (const auto& [name, below] : tree) {
    if (name == "<xmlattr>" || name == "<xmlcomment>") {
      continue;
    }
    Mark mark{name, {}, below.data()};
    if (const auto attributes = below.get_child_optional("<xmlattr>")) {
      for (const auto& [key, value] : *attributes) {
        mark.attributes[key] = value.data();
      }
    }
    marks.push_back(mark);
    collect(below, marks);
  }
}

/// In the order of the file; throws where it is no XML.
inline std::vector<Mark> marks_of(const std::string& svg) {
  std::istringstream input(svg);
  boost::property_tree::ptree tree;
  boost::property_tree::read_xml(input, tree);
  std::vector<Mark> marks;
  collect(tree, marks);
  return marks;
}

inline std::vector<Mark> of_kind(const std::vector<Mark>& marks, const std::string& kind) {
  std::vector<Mark> found;
  for (const Mark& mark : marks) {
    if (mark.kind() == kind) {
      found.push_back(mark);
    }
  }
  return found;
}

}  // namespace thumblight::test
