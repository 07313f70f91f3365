#pragma once
/// How mark files write roles and origins.

#include "ohmglow/survey.h"
#include "records/files/json_text.h"

namespace ohmglow::records {

inline constexpr WordTable<MarkRole, 3> kRoles{
    {{"lug", MarkRole::lug}, {"ambient", MarkRole::ambient}, {"reflector", MarkRole::reflector}}};
inline constexpr WordTable<MarkOrigin, 3> kOrigins{{{"hand", MarkOrigin::hand},
                                                    {"carried", MarkOrigin::carried},
                                                    {"proposed", MarkOrigin::proposed}}};

}  // namespace ohmglow::records
