#include <ohmglow/quantity.h>
int main() {
  return ohmglow::to_celsius(ohmglow::Celsius{273.15}).value() == 0 ? 0 : 1;
}
