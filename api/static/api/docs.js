"use strict";

// Draws the OpenAPI document of this yard; nothing is loaded from elsewhere.
const place = document.getElementById("docs");

SwaggerUIBundle({
  url: place.dataset.schema,
  dom_id: "#docs",
  presets: [SwaggerUIBundle.presets.apis],
  layout: "BaseLayout",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  validatorUrl: null,
  requestInterceptor: (request) => {
    const reads = ["GET", "HEAD", undefined].includes(request.method);
    if (!reads && new URL(request.url, location.href).origin === location.origin) {
      request.headers["X-CSRFToken"] = place.dataset.csrf;
    }
    return request;
  },
});
