#include <ohmglow/quantity.h>
int main() {
  return ohmglow::to_celsius(ohmglow::Kelvin{273.15}).value() == 0 ? 0 : 1;
}
