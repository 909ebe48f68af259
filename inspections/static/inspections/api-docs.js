"use strict";

// Draws the description of the API.  Requests tried on the page go with the session, so each
// that writes needs the token of the site, as a form does.
{
  const place = document.querySelector("#api");
  const token = () => /(?:^|; )csrftoken=([^;]*)/.exec(document.cookie)?.[1] ?? "";
  window.SwaggerUIBundle({
    url: place.dataset.schema,
    domNode: place,
    presets: [window.SwaggerUIBundle.presets.apis],
    layout: "BaseLayout",
    docExpansion: "list",
    deepLinking: false,
    validatorUrl: null,
    requestInterceptor(request) {
      if (!["GET", undefined].includes(request.method)) request.headers["X-CSRFToken"] = token();
      return request;
    },
  });
}
